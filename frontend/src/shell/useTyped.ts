import { useEffect, useState } from "react";

type TypedProps = {
  /** As saved; empty: nothing. */
  value: string;
  /** The saved value as the reader writes it. */
  show: (value: string) => string;
  /** What a text says, or nothing while it says nothing yet. */
  read: (text: string) => string | null;
  /** Told what was read; empty: the field was emptied. */
  onRead: (value: string) => void;
  /** Told whether a text stands here that says nothing, so that nothing is saved over it. */
  onUnread?: ((isUnread: boolean) => void) | undefined;
};

export type Typed = {
  text: string;
  /** The field was left with a text that says nothing. */
  isUnread: boolean;
  /** For the input. */
  handlers: {
    onFocus: () => void;
    onChange: (event: { target: { value: string } }) => void;
    onBlur: () => void;
  };
};

/**
 * A text that stands for a value: what cannot be read stays as it was typed, and the value too.
 *
 * A value that comes another way, by the calendar, Undo or someone else, takes the text's place.
 */
export function useTyped({ value, show, read, onRead, onUnread }: TypedProps): Typed {
  const textOf = (saved: string) => (saved === "" ? "" : show(saved));
  const [typed, setTyped] = useState<string | null>(null);
  const [isIn, setIn] = useState(false);
  const [last, setLast] = useState(value);
  const [told, setTold] = useState<string | null>(null);
  if (value !== last) {
    setLast(value);
    if (told === null || textOf(value) !== textOf(told)) {
      setTyped(null);
      setTold(null);
    }
  }
  const isOpen = typed !== null && typed.trim() !== "" && read(typed) === null;
  useEffect(() => {
    onUnread?.(isOpen);
    return () => onUnread?.(false);
  }, [isOpen, onUnread]);
  const type = (text: string) => {
    setTyped(text);
    const said = text.trim() === "" ? "" : read(text);
    if (said === null || said === value) return;
    setTold(said);
    onRead(said);
  };
  const leave = () => {
    setIn(false);
    if (!isOpen) setTyped(null);
  };
  return {
    text: typed ?? textOf(value),
    isUnread: isOpen && !isIn,
    handlers: {
      onFocus: () => setIn(true),
      onChange: (event) => type(event.target.value),
      onBlur: leave,
    },
  };
}

import { createContext, type ReactNode, useContext } from "react";
import { createPortal } from "react-dom";
import { useOff } from "./rights";
import "./PrimaryButton.css";

/** The place at the end of the road where the one filled button stands. */
export const PrimaryPlace = createContext<HTMLElement | null>(null);

type PrimaryButtonProps = {
  /** Verb and object: "Choose plan A". */
  children: ReactNode;
  /** Why it is off; nothing: it is on. */
  off?: ReactNode;
  /** It only leads on and changes nothing, so it needs no right. */
  leadsOn?: boolean;
  onPress: () => void;
};

/** The one next step of a screen; a stop renders it anywhere and it appears at the road's end. */
export function PrimaryButton(props: PrimaryButtonProps) {
  const { children, leadsOn = false, onPress } = props;
  const noRight = useOff();
  const off = (leadsOn ? null : noRight) ?? props.off ?? null;
  const place = useContext(PrimaryPlace);
  const isOff = off !== null && off !== false && off !== "";
  const button = (
    <div className="primary">
      {isOff ? (
        <p className="primary-why" id="primary-why">
          {off}
        </p>
      ) : null}
      <button
        type="button"
        className="primary-button"
        aria-disabled={isOff}
        aria-describedby={isOff ? "primary-why" : undefined}
        onClick={isOff ? undefined : onPress}
      >
        {children}
      </button>
    </div>
  );
  return place ? createPortal(button, place) : button;
}

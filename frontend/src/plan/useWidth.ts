import { type RefCallback, useCallback, useState } from "react";

/** Before anything is measured. */
const FIRST_PX = 520;

/** The width of an element, followed; while it has none, the last one. */
export function useWidth<T extends HTMLElement>(): [RefCallback<T>, number] {
  const [width, setWidth] = useState(FIRST_PX);
  const follow = useCallback((element: T | null) => {
    if (!element || typeof ResizeObserver === "undefined") return;
    const observer = new ResizeObserver(([entry]) =>
      setWidth((before) => entry?.contentRect.width || before),
    );
    observer.observe(element);
    setWidth(element.getBoundingClientRect().width || FIRST_PX);
    return () => observer.disconnect();
  }, []);
  return [follow, width];
}

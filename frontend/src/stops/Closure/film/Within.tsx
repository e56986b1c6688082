import type { ReactNode } from "react";
import { type Point, usePaper } from "../../../plan/paper";

type WithinProps = { low: Point; high: Point; children: ReactNode };

/** Drawn only between two corners: beyond them the film says nothing. */
export function Within({ low, high, children }: WithinProps) {
  const { id } = usePaper();
  const name = `${id}within`;
  return (
    <g clipPath={`url(#${name})`}>
      <clipPath id={name}>
        <rect x={low[0]} y={-high[1]} width={high[0] - low[0]} height={high[1] - low[1]} />
      </clipPath>
      {children}
    </g>
  );
}

/** Patterns of what is not sure: wide apart for 8 of 10, dense for half. */
export function Hatches({ id }: { id: string }) {
  return (
    <defs>
      <pattern id={`${id}-wide`} width="9" height="9" patternUnits="userSpaceOnUse">
        <path className="hatch-pen" d="M0 9L9 0M-2 2L2 -2M7 11L11 7" />
      </pattern>
      <pattern id={`${id}-dense`} width="4" height="4" patternUnits="userSpaceOnUse">
        <path className="hatch-pen" d="M0 0L4 4M-1 3L1 5M3 -1L5 1" />
      </pattern>
      <pattern id={`${id}-custom`} width="6" height="6" patternUnits="userSpaceOnUse">
        <circle className="dot-ink" cx="3" cy="3" r="0.9" />
      </pattern>
    </defs>
  );
}

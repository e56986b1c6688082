import { usePaper } from "./paper";

/** Hatch, dots and marks of this drawing; their pixels keep their size at every scale. */
export function Patterns() {
  const { id, px_mm } = usePaper();
  const size = `scale(${px_mm})`;
  return (
    <defs>
      <pattern
        id={`${id}hatch`}
        width="5"
        height="5"
        patternUnits="userSpaceOnUse"
        patternTransform={`${size} rotate(45)`}
      >
        <path d="M0 0V5" className="hatch-line" />
      </pattern>
      <pattern
        id={`${id}removed`}
        width="9"
        height="9"
        patternUnits="userSpaceOnUse"
        patternTransform={size}
      >
        <circle cx="2" cy="2" r="1.1" className="removed-dot" />
      </pattern>
      <pattern
        id={`${id}undermined`}
        width="15"
        height="13"
        patternUnits="userSpaceOnUse"
        patternTransform={size}
      >
        <path d="M3 4l3 4l3 -4" className="undermined-mark" />
      </pattern>
      <pattern
        id={`${id}old`}
        width="6"
        height="6"
        patternUnits="userSpaceOnUse"
        patternTransform={`${size} rotate(-45)`}
      >
        <path d="M0 0V6" className="old-line" />
      </pattern>
    </defs>
  );
}

/** How a shape is filled with a pattern of its drawing. */
export function usePattern(name: "hatch" | "removed" | "undermined" | "old"): string {
  return `url(#${usePaper().id}${name})`;
}

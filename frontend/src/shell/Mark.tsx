/** The program's own sign: a cleft with a pen point beside the midline. */
export function Mark() {
  return (
    <svg className="mark" width="34" height="24" viewBox="0 0 34 24" aria-hidden="true">
      <path d="M1 6c7-4 9 4 13 15C18 10 22 1 33 3" />
      <circle cx="24" cy="7" r="4" />
    </svg>
  );
}

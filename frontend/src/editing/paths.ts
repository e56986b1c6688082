/** Places inside a dossier, and copies of it with another value at one of them. */

export type Path = readonly (string | number)[];

type Branch = Record<string | number, unknown>;

/** What stands at a place; undefined where there is none. */
export function valueAt(whole: unknown, path: Path): unknown {
  return path.reduce<unknown>((inner, key) => (isBranch(inner) ? inner[key] : undefined), whole);
}

/** A copy with another value at one place; everything else is shared with the original. */
export function withValue<T>(whole: T, path: Path, value: unknown): T {
  const [key, ...rest] = path;
  if (key === undefined) return value as T;
  if (!isBranch(whole)) throw new Error(`There is no place ${path.join(".")}.`);
  const inner = withValue(whole[key], rest, value);
  if (inner === whole[key]) return whole;
  return copied(whole, key, inner) as T;
}

/** A copy without one place: an entry of a list, or a field. */
export function without<T>(whole: T, path: Path): T {
  const last = path.at(-1);
  const outer = valueAt(whole, path.slice(0, -1));
  if (last === undefined || !isBranch(outer) || !(last in outer)) return whole;
  const kept = Array.isArray(outer)
    ? outer.filter((_, index) => index !== last)
    : Object.fromEntries(Object.entries(outer).filter(([key]) => key !== last));
  return withValue(whole, path.slice(0, -1), kept);
}

export function samePath(a: Path, b: Path): boolean {
  return a.length === b.length && a.every((key, index) => String(key) === String(b[index]));
}

/** Every place at which two values differ; lists of other lengths differ as a whole. */
export function differences(a: unknown, b: unknown, at: Path = []): Path[] {
  if (Object.is(a, b)) return [];
  if (!isBranch(a) || !isBranch(b) || lengthOf(a) !== lengthOf(b)) return [at];
  const keys = Array.isArray(a)
    ? a.map((_, i) => i)
    : [...new Set([...Object.keys(a), ...Object.keys(b)])];
  return keys.flatMap((key) => differences(a[key], b[key], [...at, key]));
}

function isBranch(value: unknown): value is Branch {
  return typeof value === "object" && value !== null;
}

function lengthOf(value: Branch): number | null {
  return Array.isArray(value) ? value.length : null;
}

function copied(whole: Branch, key: string | number, inner: unknown): Branch {
  if (!Array.isArray(whole)) return { ...whole, [key]: inner };
  const copy: unknown[] = [...whole];
  copy[Number(key)] = inner;
  return copy as unknown as Branch;
}

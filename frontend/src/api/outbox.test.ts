import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { RefusedError, UnreachableError, type Write } from "./client";
import { openOutbox } from "./outbox";

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const asked = (path: string): Write => ({ method: "POST", path, body: { path } });

/** A server that is away for its first so many calls. */
function server(away: number) {
  const got: string[] = [];
  const post = vi.fn(async (write: Write) => {
    if (away-- > 0) throw new UnreachableError();
    if (write.path === "/bad") throw new RefusedError(422, { detail: "No." });
    got.push(write.path);
    return `answer to ${write.path}`;
  });
  return { got, post: post as never, calls: post };
}

it("sends in order, however long the server was away", async () => {
  const { got, post } = server(3);
  const outbox = openOutbox(localStorage, post);
  const answers = Promise.all(["/a", "/b", "/c"].map((path) => outbox.send(asked(path))));
  await vi.advanceTimersByTimeAsync(60_000);
  expect(await answers).toEqual(["answer to /a", "answer to /b", "answer to /c"]);
  expect(got).toEqual(["/a", "/b", "/c"]);
  expect(localStorage.length).toBe(0);
});

it("repeats with the same key, so that nothing is done twice", async () => {
  const { calls, post } = server(1);
  void openOutbox(localStorage, post).send(asked("/a"));
  await vi.advanceTimersByTimeAsync(5000);
  const keys = calls.mock.calls.map(([write]) => write.key);
  expect(keys).toHaveLength(2);
  expect(new Set(keys).size).toBe(1);
});

it("sends after a reload what was not acknowledged", async () => {
  void openOutbox(localStorage, server(1).post).send(asked("/a"));
  await vi.advanceTimersByTimeAsync(10);
  const later = server(0);
  openOutbox(localStorage, later.post);
  await vi.advanceTimersByTimeAsync(10);
  expect(later.got).toEqual(["/a"]);
});

it("goes on after a refusal and tells whoever sent it", async () => {
  const { got, post } = server(0);
  const outbox = openOutbox(localStorage, post);
  const bad = outbox.send(asked("/bad"));
  const good = outbox.send(asked("/good"));
  await expect(bad).rejects.toThrow("No.");
  await good;
  expect(got).toEqual(["/good"]);
});

it("keeps a write while nobody is logged in, in a line of each account's own", async () => {
  let isIn = false;
  const post = vi.fn(async () => {
    if (!isIn) throw new RefusedError(401, { detail: "Log in." });
    return "done";
  });
  const outbox = openOutbox(localStorage, post as never, "m.example");
  const answer = outbox.send(asked("/a"));
  await vi.advanceTimersByTimeAsync(5000);
  expect(outbox.waiting()).toBe(1);
  expect(openOutbox(localStorage, post as never, "n.other").waiting()).toBe(0);
  isIn = true;
  outbox.retry();
  expect(await answer).toBe("done");
});

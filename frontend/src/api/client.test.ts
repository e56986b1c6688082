import { afterEach, expect, it, vi } from "vitest";
import { RefusedError, read, UnreachableError, write } from "./client";

afterEach(() => vi.unstubAllGlobals());

function answering(status: number, body: unknown) {
  const fetched = vi.fn(
    async (_path: string, _request: RequestInit) =>
      new Response(status === 204 ? null : JSON.stringify(body), { status }),
  );
  vi.stubGlobal("fetch", fetched);
  return fetched;
}

it("gives the server's sentence and where it belongs", async () => {
  const errors = [{ loc: ["body", "case", "pits", 0, "name"], detail: "A pit needs a name." }];
  answering(422, { title: "Unprocessable", detail: "A pit needs a name.", errors });
  const refused = await read<never>("/api/x").catch((fault: RefusedError) => fault);
  expect(refused).toBeInstanceOf(RefusedError);
  expect(refused.message).toBe("A pit needs a name.");
  expect(refused.refusals).toEqual([
    { path: ["case", "pits", 0, "name"], sentence: "A pit needs a name." },
  ]);
});

it("names the revision that a write follows, and a key for it alone", async () => {
  const fetched = answering(200, {});
  await write({ method: "PUT", path: "/api/cases/1", body: {}, follows: 7 });
  await write({ method: "PUT", path: "/api/cases/1", body: {}, follows: 8 });
  const headers = fetched.mock.calls.map(
    ([, request]) => request.headers as Record<string, string>,
  );
  expect(headers[0]?.["If-Match"]).toBe('"7"');
  expect(headers[0]?.["Idempotency-Key"]).toMatch(/^[0-9a-f]{32}$/);
  expect(headers[0]?.["Idempotency-Key"]).not.toBe(headers[1]?.["Idempotency-Key"]);
});

it("tells a server that is away from one that says no", async () => {
  vi.stubGlobal("fetch", () => Promise.reject(new TypeError("network")));
  await expect(read("/api/x")).rejects.toBeInstanceOf(UnreachableError);
  answering(503, {});
  await expect(read("/api/x")).rejects.toBeInstanceOf(UnreachableError);
});

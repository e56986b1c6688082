/** Talking to the server: JSON in, JSON out, every refusal as an error that carries its sentence. */

import { say } from "../i18n/say";

export const JSON_TYPE = "application/json";

/** An entry that was refused: where it stands in what was sent, and the sentence for people. */
export type Refusal = { path: readonly (string | number)[]; sentence: string };

/** The server said no. */
export class RefusedError extends Error {
  readonly status: number;
  readonly refusals: readonly Refusal[];
  readonly body: Readonly<Record<string, unknown>>;

  constructor(status: number, body: Readonly<Record<string, unknown>>) {
    super(sentenceOf(body));
    this.name = "RefusedError";
    this.status = status;
    this.body = body;
    this.refusals = refusalsOf(body);
  }
}

/** The server could not be reached; the same may be sent again later. */
export class UnreachableError extends Error {
  constructor() {
    super(say("shell", "unreachable"));
    this.name = "UnreachableError";
  }
}

export type Write = {
  method: "POST" | "PUT" | "DELETE";
  path: string;
  body?: unknown;
  /** The same key again gives the same answer and does nothing twice. */
  key?: string;
  /** The number of the revision that this follows. */
  follows?: number;
};

/** What GET answers at this path. */
export async function read<T>(path: string, signal?: AbortSignal): Promise<T> {
  const answer = await reach(path, { headers: { Accept: JSON_TYPE }, signal: signal ?? null });
  return (await answer.json()) as T;
}

/** What GET answers as bytes, for voxels and sheets. */
export async function readBytes(path: string, signal?: AbortSignal): Promise<ArrayBuffer> {
  const answer = await reach(path, { signal: signal ?? null });
  return answer.arrayBuffer();
}

/** Send once; a key is made when none is given. */
export async function write<T>(asked: Write, signal?: AbortSignal): Promise<T> {
  const headers: Record<string, string> = {
    Accept: JSON_TYPE,
    "Idempotency-Key": asked.key ?? newKey(),
  };
  if (asked.body !== undefined) headers["Content-Type"] = JSON_TYPE;
  if (asked.follows !== undefined) headers["If-Match"] = `"${asked.follows}"`;
  const body = asked.body === undefined ? null : JSON.stringify(asked.body);
  const answer = await reach(asked.path, {
    method: asked.method,
    headers,
    body,
    signal: signal ?? null,
  });
  return (answer.status === 204 ? undefined : await answer.json()) as T;
}

/** Ask something that stores nothing; it may be sent again and again. */
export async function ask<T>(path: string, body: unknown, signal?: AbortSignal): Promise<T> {
  const headers = { Accept: JSON_TYPE, "Content-Type": JSON_TYPE };
  const asked = { method: "POST", headers, body: JSON.stringify(body), signal: signal ?? null };
  return (await (await reach(path, asked)).json()) as T;
}

/** Send the content of one file. */
export async function writeFile<T>(path: string, file: Blob, signal?: AbortSignal): Promise<T> {
  const headers = { "Content-Type": "application/octet-stream", "Idempotency-Key": newKey() };
  const answer = await reach(path, { method: "PUT", headers, body: file, signal: signal ?? null });
  return (await answer.json()) as T;
}

/** A random key; it works on plain HTTP too, where randomUUID is not offered. */
export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

const NOT_THERE = [502, 503, 504];
const NOT_KNOWN = 401;
const FAILED = 500;
const DOOR = "/api/session";

const strangers = new Set<() => void>();

/** Be told when the server does not know this browser any more; returns what ends the telling. */
export function onStranger(tell: () => void): () => void {
  strangers.add(tell);
  return () => void strangers.delete(tell);
}

/** Whether the same may be accepted later: nobody answered, or the server itself failed. */
export function mayPassLater(fault: unknown): boolean {
  const failed = fault instanceof RefusedError && fault.status >= FAILED;
  return failed || fault instanceof UnreachableError;
}

async function reach(path: string, request: RequestInit): Promise<Response> {
  const answer = await fetch(path, { credentials: "same-origin", ...request }).catch((fault) => {
    if (request.signal?.aborted) throw fault;
    throw new UnreachableError();
  });
  if (NOT_THERE.includes(answer.status)) throw new UnreachableError();
  if (answer.status === NOT_KNOWN && path !== DOOR) for (const tell of strangers) tell();
  if (!answer.ok) throw new RefusedError(answer.status, await problem(answer));
  return answer;
}

async function problem(answer: Response): Promise<Record<string, unknown>> {
  const body: unknown = await answer.json().catch(() => null);
  return typeof body === "object" && body !== null ? (body as Record<string, unknown>) : {};
}

function sentenceOf(body: Readonly<Record<string, unknown>>): string {
  const { detail, title } = body;
  if (typeof detail === "string" && detail !== "") return detail;
  return typeof title === "string" && title !== "" ? title : "The server gave no reason.";
}

type Place = { loc?: unknown; msg?: unknown; detail?: unknown };

function refusalsOf(body: Readonly<Record<string, unknown>>): Refusal[] {
  const places = Array.isArray(body.errors) ? (body.errors as Place[]) : [];
  return places.map((place) => ({
    path: pathOf(place.loc),
    sentence: String(place.detail ?? place.msg ?? ""),
  }));
}

function pathOf(loc: unknown): (string | number)[] {
  const keys = Array.isArray(loc) ? (loc as (string | number)[]) : [];
  return keys[0] === "body" ? keys.slice(1) : keys;
}

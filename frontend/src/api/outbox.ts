/** Writes that must not be lost: kept until acknowledged, sent one after the other, in order. */

import { mayPassLater, newKey, type Write, write } from "./client";

const PLACE = "crena.outbox";
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30_000;

type Waiting = { resolve: (answer: unknown) => void; reject: (fault: unknown) => void };

export type Outbox = {
  /** Put a write at the end of the line; it resolves with the server's answer. */
  send: <T>(asked: Write) => Promise<T>;
  /** Try again now, for instance when the network is back. */
  retry: () => void;
  /** How many are not acknowledged. */
  waiting: () => number;
};

/**
 * Make the line; what an earlier page left in it is sent first.
 *
 * In a department each account has a line of its own, and one that waits for a log-in is kept.
 * A write that the server refuses leaves the line, because it would be refused again; whoever
 * sent it hears why.
 */
export function openOutbox(
  storage: Storage,
  post: typeof write = write,
  owner: string = "",
): Outbox {
  const place = owner === "" ? PLACE : `${PLACE}.${owner}`;
  let line: Write[] = kept(storage, place);
  const heard = new Map<string, Waiting>();
  let running = false;
  let wait_ms = FIRST_WAIT_MS;
  let timer: ReturnType<typeof setTimeout> | undefined;

  function keep(next: Write[]): void {
    line = next;
    if (line.length > 0) storage.setItem(place, JSON.stringify(line));
    else storage.removeItem(place);
  }

  async function run(): Promise<void> {
    if (running) return;
    running = true;
    clearTimeout(timer);
    while (line[0] && (await sent(line[0]))) keep(line.slice(1));
    running = false;
    if (line.length > 0) later();
  }

  async function sent(first: Write): Promise<boolean> {
    const waiting = heard.get(first.key ?? "");
    try {
      const answer = await post(first);
      wait_ms = FIRST_WAIT_MS;
      waiting?.resolve(answer);
    } catch (fault) {
      if (mayPassLater(fault)) return false;
      waiting?.reject(fault);
    }
    heard.delete(first.key ?? "");
    return true;
  }

  function later(): void {
    timer = setTimeout(run, wait_ms);
    wait_ms = Math.min(2 * wait_ms, LONGEST_WAIT_MS);
  }

  function send<T>(asked: Write): Promise<T> {
    const key = asked.key ?? newKey();
    const answer = new Promise<T>((resolve, reject) => {
      heard.set(key, { resolve: resolve as Waiting["resolve"], reject });
    });
    keep([...line, { ...asked, key }]);
    void run();
    return answer;
  }

  if (line.length > 0) void run();
  return { send, retry: () => void run(), waiting: () => line.length };
}

function kept(storage: Storage, place: string): Write[] {
  try {
    const found: unknown = JSON.parse(storage.getItem(place) ?? "[]");
    return Array.isArray(found) ? (found as Write[]) : [];
  } catch {
    return [];
  }
}

/** Who is logged in, as the server says it; a laptop's server knows one person without a name. */

import { useQuery } from "@tanstack/react-query";
import { read, write } from "./client";
import { queries } from "./queries";
import type { Session } from "./records";

const PATH = "/api/session";
const KEY = ["session"];

/** Said to the window when somebody came in, so that what waits is sent. */
export const LET_IN = "crena:let-in";

export function useSession() {
  return useQuery({
    queryKey: KEY,
    queryFn: ({ signal }) => read<Session>(PATH, signal),
    staleTime: Number.POSITIVE_INFINITY,
    retry: false,
  });
}

/** Ask again who is in, for instance because the server did not know this browser any more. */
export function askWhoIsIn(): void {
  void queries.invalidateQueries({ queryKey: KEY });
}

export async function logIn(name: string, password: string): Promise<void> {
  const session = await write<Session>({ method: "POST", path: PATH, body: { name, password } });
  queries.setQueryData(KEY, session);
  window.dispatchEvent(new Event(LET_IN));
}

/** End the session and begin the page anew, so that nothing of it stays in sight. */
export async function logOut(): Promise<void> {
  await write<void>({ method: "DELETE", path: PATH });
  location.reload();
}

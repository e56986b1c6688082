/** What this server can do: its own description says which routes it has. */

import { useQuery } from "@tanstack/react-query";
import { read } from "./client";

type Description = { paths: Record<string, unknown> };

/** Whether the server has a route, for what not every server offers; false until it is known. */
export function useHas(route: string): boolean {
  const { data } = useQuery({
    queryKey: ["abilities"],
    queryFn: () => read<Description>("/api/openapi.json"),
    staleTime: Number.POSITIVE_INFINITY,
  });
  return data !== undefined && route in data.paths;
}

import { useQuery } from "@tanstack/react-query";
import type { ReactNode } from "react";
import { RefusedError, read } from "../api/client";
import { todayIso } from "../i18n/figures";
import { useSay } from "../i18n/say";
import { Empty } from "./Empty";
import { Page } from "./Page";

const NOT_KNOWN = 401;

/** The page for whoever the server knows; others hear how to get in. */
export function LetIn({ children }: { children: ReactNode }) {
  const t = useSay();
  const { error } = useQuery({ queryKey: ["abilities"], queryFn: () => read("/api/openapi.json") });
  if (!(error instanceof RefusedError && error.status === NOT_KNOWN)) return children;
  return (
    <Page open={null} today={todayIso()} foot={<span />}>
      <Empty>{t("not_let_in")}</Empty>
    </Page>
  );
}

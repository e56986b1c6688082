import type { ReactNode } from "react";
import { readCaseAnew, refusalOf } from "../api/queries";
import { useSay } from "../i18n/say";
import type { StopProps } from "../stops/contract";
import { Empty } from "./Empty";

type NoPlansProps = Pick<StopProps, "revision" | "goTo"> & {
  /** Why what rests on the plans could not be read, if it was asked for. */
  error: Error | null;
  /** What stands here once there are plans. */
  children: ReactNode;
};

/** In place of what rests on plans: that there are none yet, that they are read, or why not. */
export function NoPlans({ revision, goTo, error, children }: NoPlansProps) {
  const t = useSay();
  const way = (
    <button type="button" className="outlined" onClick={() => goTo("disease")}>
      {t("to_disease")}
    </button>
  );
  if (revision.dossier.plans === null) return <Empty action={way}>{children}</Empty>;
  if (!error) return <Empty>{t("loading")}</Empty>;
  const again = (
    <p className="ways">
      <button
        type="button"
        className="outlined"
        onClick={() => void readCaseAnew(revision.case_id)}
      >
        {t("try_again")}
      </button>
      {way}
    </p>
  );
  const sentence = refusalOf(error) ?? t("offline");
  return <Empty action={again}>{t("did_not_load", { sentence })}</Empty>;
}

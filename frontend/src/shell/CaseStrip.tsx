import type { Dossier, Side } from "../api/records";
import { useSay } from "../i18n/say";
import { Allergies } from "./Allergies";
import { Caution } from "./Caution";
import { LanguageSwitch } from "./LanguageSwitch";
import { Mark } from "./Mark";
import { PaperSwitch } from "./PaperSwitch";
import { Rich } from "./Rich";
import { useSideWord } from "./sides";
import { chosenLetter, followedBefore, takenInTheatre } from "./taken";
import { WhoIsIn } from "./WhoIsIn";
import "./CaseStrip.css";

export type StripCase = {
  dossier: Dossier;
  /** The side that gives the flap, once it is chosen. */
  side: Side | null;
  /** What could name the side is still being read. */
  isSideUnread?: boolean;
  /** Something was changed since the plans were made. */
  isOld: boolean;
  /** The sign-off is for this plan of this case. */
  isSigned?: boolean;
};

/** Whose case this is, which side, which plan, which allergies: always in sight. */
export function CaseStrip({ open, today }: { open: StripCase | null; today: string }) {
  const t = useSay();
  return (
    <header className="strip">
      <div className="strip-who">
        <a href="#/" className="strip-mark" aria-label={`Crena: ${t("strip.all_cases")}`}>
          <Mark />
          <span>Crena</span>
        </a>
        {open ? <Who open={open} /> : <b>{t("strip.none")}</b>}
      </div>
      <div className="strip-more">
        {open ? <More open={open} today={today} /> : <span>{t("strip.none_more")}</span>}
      </div>
      <div className="strip-switches">
        <WhoIsIn />
        <LanguageSwitch />
        <PaperSwitch />
      </div>
      <Caution />
    </header>
  );
}

function Who({ open }: { open: StripCase }) {
  const { patient } = open.dossier.case;
  return (
    <>
      <b>{patient.label}</b>
      <FlapSide open={open} />
    </>
  );
}

function FlapSide({ open }: { open: StripCase }) {
  const word = useSideWord();
  if (open.side) {
    return (
      <span>
        <Rich say="strip.flap_from" figures={{ side: word(open.side) }} />
      </span>
    );
  }
  return (
    <span>
      <Rich say={withoutSide(open)} />
    </span>
  );
}

function withoutSide({ dossier, isSideUnread, isSigned }: StripCase): string {
  if (followedBefore(dossier)) return "strip.side_not_at_hand";
  if (isSideUnread) return "strip.side_unread";
  return isSigned ? "strip.no_flap" : "strip.no_side";
}

function More({ open, today }: { open: StripCase; today: string }) {
  return (
    <>
      <PlanState open={open} />
      <Allergies findings={open.dossier.case.findings} today={today} />
    </>
  );
}

function PlanState({ open }: { open: StripCase }) {
  const state = usePlanState(open);
  const { plans, theatre } = open.dossier;
  const now = takenInTheatre(open.dossier) ? theatre : plans;
  const followed = followedBefore(open.dossier) ?? now;
  return (
    <span>
      {followed ? (
        <Rich say="strip.plan" figures={{ code: followed.code, state }} />
      ) : (
        <Rich say="strip.no_plan" />
      )}
    </span>
  );
}

function usePlanState({ dossier, isOld, isSigned }: StripCase): string {
  const t = useSay();
  const { signed } = dossier;
  const taken = takenInTheatre(dossier);
  const before = followedBefore(dossier);
  const chosen = chosenLetter(dossier.case, dossier.plans);
  if (before) return t("strip.plan_followed", { plan: before.plan });
  if (taken) return t("strip.plan_theatre", { plan: taken });
  if (isOld) return t("strip.plan_old");
  if (signed && isSigned) return t("strip.plan_signed", { plan: signed.plan });
  return chosen ? t("strip.plan_chosen", { plan: chosen }) : t("strip.plan_open");
}

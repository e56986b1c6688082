import { lazy, Suspense } from "react";
import { read } from "./api/client";
import {
  readCaseAnew,
  refusalOf,
  usePlans,
  useRevision,
  useRoad,
  useTheatrePlans,
} from "./api/queries";
import type { Revision, Road as RoadRecord, Role } from "./api/records";
import { useEditor } from "./editing/useEditor";
import { todayIso } from "./i18n/figures";
import { useSay } from "./i18n/say";
import { toldText } from "./i18n/told";
import { go } from "./routes";
import { Boundary } from "./shell/Boundary";
import { ConflictNote } from "./shell/ConflictNote";
import { EditLine } from "./shell/EditLine";
import { Empty } from "./shell/Empty";
import { Page } from "./shell/Page";
import { Road } from "./shell/Road";
import { NeededContext, ownerOf, useWho } from "./shell/rights";
import { isInHand, sideOf } from "./shell/taken";
import type { Stop, StopName } from "./stops/contract";

const PAGES: Record<StopName, Stop> = {
  disease: lazy(async () => ({ default: (await import("./stops/Disease")).Disease })),
  excision: lazy(async () => ({ default: (await import("./stops/Excision")).Excision })),
  closure: lazy(async () => ({ default: (await import("./stops/Closure")).Closure })),
  marking: lazy(async () => ({ default: (await import("./stops/Marking")).Marking })),
  theatre: lazy(async () => ({ default: (await import("./stops/Theatre")).Theatre })),
  healing: lazy(async () => ({ default: (await import("./stops/Healing")).Healing })),
  outcomes: lazy(async () => ({ default: (await import("./stops/Outcomes")).Outcomes })),
} as unknown as Record<StopName, Stop>;

/** Who follows up changes what comes after the operation; the rest belongs to the plan. */
const FOLLOWED_UP: readonly StopName[] = ["healing", "outcomes"];

/** One case at one stop. */
export function CasePage({ caseId, stop }: { caseId: string; stop: StopName }) {
  const t = useSay();
  const { data, error, refetch } = useRevision(caseId);
  if (data) return <OpenCase key={caseId} first={data} stop={stop} />;
  const words = error
    ? t("did_not_load", { sentence: toldText(refusalOf(error) ?? "") || t("offline") })
    : t("loading");
  const again = (
    <button type="button" className="quiet" onClick={() => void refetch()}>
      {t("try_again")}
    </button>
  );
  return (
    <Page open={null} today={todayIso()} foot={<span />}>
      <Empty action={error ? again : undefined}>{words}</Empty>
    </Page>
  );
}

function OpenCase({ first, stop }: { first: Revision; stop: StopName }) {
  const t = useSay();
  const who = useWho();
  const [editor, state] = useEditor(first, ownerOf(who));
  const needed: Role = FOLLOWED_UP.includes(stop) ? "follow up" : "plan";
  const mayChange = who.may.includes(needed);
  const caseId = first.case_id;
  const today = todayIso();
  const road = useRoad(caseId).data ?? null;
  const plans = usePlans(state.revision).data ?? null;
  const dossier = { ...state.revision.dossier, case: state.entered };
  const made = useTheatrePlans(state.revision).data ?? null;
  const signed = isSigned(road);
  const side = sideOf(dossier, { plans, made }, signed);
  const isSideUnread = !road || !isInHand(dossier.plans, plans) || !isInHand(dossier.theatre, made);
  const open = { dossier, side, isSideUnread, isOld: isOld(road), isSigned: signed };
  const refresh = async () => {
    const newest = await read<Revision>(`/api/cases/${caseId}`);
    editor.adopt(newest);
    await readCaseAnew(caseId);
    return newest;
  };
  const goTo = (next: StopName) => go({ at: "case", caseId, stop: next });
  const At = PAGES[stop];
  return (
    <NeededContext.Provider value={needed}>
      <Page
        open={open}
        today={today}
        line={<EditLine editor={editor} state={state} here={stop} goTo={goTo} />}
        foot={<Road caseId={caseId} here={stop} road={road} />}
        name={stop}
      >
        {state.conflict ? <ConflictNote conflict={state.conflict} editor={editor} /> : null}
        <Boundary key={stop}>
          <Suspense fallback={<Empty>{t("loading")}</Empty>}>
            <At
              revision={state.revision}
              entered={state.entered}
              edit={mayChange ? editor.edit : changeNothing}
              refusals={state.refusals}
              saving={state.saving}
              saved={editor.saved}
              refresh={refresh}
              road={road}
              today={today}
              goTo={goTo}
            />
          </Suspense>
        </Boundary>
      </Page>
    </NeededContext.Provider>
  );
}

/** For who may only look: the line under the strip says so. */
function changeNothing(): void {}

/** The server says whether a sign-off holds; one of an earlier state of the case does not. */
function isSigned(road: RoadRecord | null): boolean {
  return road?.stops.some((stop) => stop.name === "closure" && stop.code === "signed") ?? false;
}

function isOld(road: RoadRecord | null): boolean {
  return road?.stops.some((stop) => stop.name === "closure" && stop.state === "old") ?? false;
}

import { type ReactNode, useState } from "react";
import { startJob } from "../../../api/jobs";
import { isJob, queries, refusalOf, useFilm } from "../../../api/queries";
import type { Job, Plan, TractMap } from "../../../api/records";
import { useSay } from "../../../i18n/say";
import { Empty } from "../../../shell/Empty";
import { Tag } from "../../../shell/Tag";
import { Told } from "../../../shell/Told";
import { Player } from "./Player";
import "./film.css";

type FilmProps = { caseId: string; code: string; plan: Plan; map: TractMap };

type FilmPlaceProps = FilmProps & {
  /** The plan as cut: it stands here while no film is shown. */
  children: ReactNode;
};

/** The plan as cut, or on request how it closes; computed when it is first asked for. */
export function Film({ children, ...props }: FilmPlaceProps) {
  const t = useSay("closure");
  const [isShown, setShown] = useState(false);
  const { id } = props.plan;
  return (
    <section className="film" aria-label={t("film.title", { plan: id })}>
      {isShown ? <Asked key={id} {...props} /> : children}
      <button type="button" className="quiet" onClick={() => setShown(!isShown)}>
        {isShown ? t("film.as_cut") : t("film.show", { plan: id })}
      </button>
    </section>
  );
}

function Asked({ caseId, code, plan, map }: FilmProps) {
  const t = useSay("closure");
  const { data, error } = useFilm(caseId, code, plan.id, true);
  const again = async () => {
    await startJob(`/api/cases/${caseId}/plans/${plan.id}/film`, {}).catch(() => undefined);
    await queries.resetQueries({ queryKey: ["film", caseId, code, plan.id] });
  };
  if (error) {
    return (
      <div className="film-failed">
        <Tag kind="none" />
        <p>{t("film.failed")}</p>
        <p>
          <Told>{refusalOf(error) ?? error.message}</Told>
        </p>
        <button type="button" className="quiet" onClick={() => void again()}>
          {t("film.again")}
        </button>
      </div>
    );
  }
  if (!data || isJob(data)) return <UnderWay job={data} />;
  return <Player film={data} map={map} plan={plan} />;
}

function UnderWay({ job }: { job: Job | undefined }) {
  const t = useSay("closure");
  return (
    <Empty>
      <span aria-live="polite">{t(job?.state === "waiting" ? "film.waits" : "film.computed")}</span>
    </Empty>
  );
}

import type { Plan } from "../../api/records";
import { measure, range } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import type { Moving } from "../../moving/useMoving";
import { Note } from "../../shell/Note";
import { Told } from "../../shell/Told";

type PlanFiguresProps = { plan: Plan; moving: Moving };

/** The figures of one plan as sentences with their bands; what geometry says follows the hand. */
export function PlanFigures({ plan, moving }: PlanFiguresProps) {
  const t = useSay("closure");
  const { scar, shape, closure } = moving.shown;
  return (
    <>
      <Note>
        <p className="say">
          {t("lower_end", { mm: range(scar.lower_end_low_mm, scar.lower_end_high_mm, "mm") })}
        </p>
      </Note>
      <Note>
        <p className="say">{t("scar", { mm: measure(scar.length_mm, "mm") })}</p>
      </Note>
      <Note>
        <p className="say">{t("donor", { mm: measure(shape.donor_closure_mm, "mm") })}</p>
      </Note>
      <Note>
        <p>
          <Told>{closure.name}</Told>
        </p>
        {closure.warnings.map((sentence) => (
          <p key={sentence} className="small">
            <Told>{sentence}</Told>
          </p>
        ))}
      </Note>
      {moving.isMoved ? (
        <Note>
          <p className="small">{t("not_computed")}</p>
        </Note>
      ) : (
        <Computed plan={plan} />
      )}
    </>
  );
}

/** What takes longer than a hand waits: the pull, and what stays empty. */
function Computed({ plan }: { plan: Plan }) {
  const t = useSay("closure");
  const { filling } = plan;
  return (
    <>
      <Pull plan={plan} />
      {filling ? (
        <Note>
          <p className="say">
            {t("empty", { ml: range(filling.gap_low_ml, filling.gap_high_ml, "mL") })}
          </p>
        </Note>
      ) : null}
    </>
  );
}

/** The pull against the other plans; no figure from a run that failed. */
function Pull({ plan: { mechanics } }: { plan: Plan }) {
  const t = useSay("closure");
  const low = mechanics?.relative_low_ratio ?? null;
  const high = mechanics?.relative_high_ratio ?? null;
  const known = low !== null && high !== null;
  return (
    <Note>
      <p className="say">
        {known ? t("pull", { ratio: range(low, high, t("times"), 1) }) : t("no_pull")}
      </p>
      {known ? (
        <p className="small">{t("relative")}</p>
      ) : (
        <p className="small">
          <Told>{mechanics?.reason ?? ""}</Told>
        </p>
      )}
    </Note>
  );
}

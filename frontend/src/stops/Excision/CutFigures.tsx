import type { Excision } from "../../api/records";
import { measure, number, range } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { toldText } from "../../i18n/told";
import type { Moving } from "../../moving/useMoving";
import { Note } from "../../shell/Note";
import { Tag } from "../../shell/Tag";

/** The figures of one cut as sentences; they follow the hand. */
export function CutFigures({ moving: { shown, preview } }: { moving: Moving }) {
  const t = useSay("excision");
  const cut = shown.excision;
  const asked = cut.chance_clear.at_least_mm;
  return (
    <>
      <Note>
        <Clear cut={cut} through={preview?.cut_through ?? []} />
      </Note>
      <Note>
        <Chance cut={cut} about={preview !== null && !preview.full} />
      </Note>
      <Note>
        <p className="say">
          {t("takes", {
            ml: range(cut.volume_low_ml, cut.volume_high_ml, "mL"),
            healthy: measure(cut.healthy_ml, "mL"),
          })}
        </p>
        <p className="small">{t("not_banded")}</p>
      </Note>
      <Note title={t("parts")}>
        <Parts cut={cut} asked={asked} />
      </Note>
    </>
  );
}

/** How far the nearest wall stays off, or what it goes through. */
function Clear({ cut, through }: { cut: Excision; through: readonly string[] }) {
  const t = useSay("excision");
  const asked = measure(cut.chance_clear.at_least_mm, "mm");
  if (through.length > 0) {
    return (
      <p className="say">
        <Tag kind="stop" /> {t("cut_through", { parts: through.map(toldText).join(", ") })}
      </p>
    );
  }
  const short = cut.least_clearance_mm < cut.chance_clear.at_least_mm;
  return (
    <p className="say">
      {short ? <Tag kind="check" /> : null}{" "}
      {t("clear", { mm: measure(Math.floor(cut.least_clearance_mm), "mm"), asked })}
    </p>
  );
}

function Chance({ cut: { chance_clear }, about }: { cut: Excision; about: boolean }) {
  const t = useSay("excision");
  const figures = {
    mm: measure(chance_clear.at_least_mm, "mm"),
    low: Math.floor(100 * chance_clear.chance_low),
    high: Math.floor(100 * chance_clear.chance_high),
  };
  return <p className={about ? "say redone" : "say"}>{t(about ? "about" : "chance", figures)}</p>;
}

/** Every part of the disease with the wall that binds; a short one has a word beside it. */
function Parts({ cut, asked }: { cut: Excision; asked: number }) {
  const t = useSay("excision");
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">{t("part")}</th>
          <th scope="col">{t("nearest_wall")}</th>
          <th scope="col" className="right">
            {t("off_wall")}
          </th>
        </tr>
      </thead>
      <tbody>
        {cut.clearances.map(({ part, wall, least_mm }) => (
          <tr key={part}>
            <th scope="row">{toldText(part)}</th>
            <td>{wall}</td>
            <td className="right">
              {least_mm < asked ? <b>{t("short")} </b> : null}
              <span className="figure">
                {number(least_mm, 1)} {t("mm")}
              </span>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

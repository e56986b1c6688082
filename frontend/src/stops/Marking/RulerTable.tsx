import type { RulerPoint, RulerTable as RulerTableRecord } from "../../api/records";
import { measure } from "../../i18n/figures";
import { type Say, useSay } from "../../i18n/say";
import { Fold } from "../../shell/Fold";
import { Note } from "../../shell/Note";
import { useSideWord } from "../../shell/sides";

/** Every corner by its distances, so that pen and ruler can draw the plan without a print. */
export function RulerTable({ ruler }: { ruler: RulerTableRecord }) {
  const t = useSay("marking");
  return (
    <Note title={t("ruler.title")}>
      <Points points={ruler.points} />
      {ruler.uncut.map((name) => (
        <p key={name}>
          <b>{t("ruler.uncut", { name })}</b>
        </p>
      ))}
      <Fold title={t("ruler.between")}>
        <Between ruler={ruler} />
      </Fold>
      {ruler.edges.map((edge) => (
        <Fold
          key={`${edge.name} ${edge.points.length}`}
          title={t("ruler.edge", { name: edge.name })}
        >
          <Points points={edge.points} />
        </Fold>
      ))}
    </Note>
  );
}

function Points({ points }: { points: readonly RulerPoint[] }) {
  const t = useSay("marking");
  const word = useSideWord();
  return (
    <table className="ruler-table">
      <thead>
        <tr>
          <th scope="col">{t("ruler.point")}</th>
          <th scope="col" className="right">
            {t("ruler.from_midline")}
          </th>
          <th scope="col" className="right">
            {t("ruler.from_tip")}
          </th>
        </tr>
      </thead>
      <tbody>
        {points.map((point) => (
          <tr key={point.name}>
            <th scope="row">{point.name}</th>
            <td className="right">
              {point.side
                ? `${measure(point.off_midline_mm, "mm")}, ${word(point.side)}`
                : t("ruler.midline")}
            </td>
            <td className="right">{heightWords(point, t)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function heightWords({ above_tip_mm }: RulerPoint, t: Say): string {
  if (above_tip_mm === 0) return t("ruler.level");
  const mm = Math.abs(above_tip_mm);
  return t(above_tip_mm > 0 ? "ruler.above" : "ruler.below", { mm });
}

/** The distance of each corner from those before it. */
function Between({ ruler: { points, between } }: { ruler: RulerTableRecord }) {
  const names = points.map((point) => point.name);
  return (
    <table className="ruler-table">
      <thead>
        <tr>
          <td />
          {names.slice(0, -1).map((name) => (
            <th key={name} scope="col" className="right">
              {name}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {names.slice(1).map((name, i) => (
          <tr key={name}>
            <th scope="row">{name}</th>
            {names.slice(0, -1).map((other, j) => (
              <td key={other} className="right">
                {between[i + 1]?.[j]}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

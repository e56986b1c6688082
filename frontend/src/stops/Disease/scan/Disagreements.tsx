import type { MapNow, TractMap } from "../../../api/records";
import { measure } from "../../../i18n/figures";
import { useSay } from "../../../i18n/say";

type Disagreement = TractMap["disagreements"][number];

/** Probe and scan side by side: of each tract both lengths, and how far the two lie apart. */
export function Disagreements({ now }: { now: MapNow }) {
  const t = useSay("scan");
  const { tract_map: map, probed } = now.found;
  if (map.disagreements.length === 0) return <p>{t("apart.none")}</p>;
  return (
    <>
      <h3>{t("apart.title")}</h3>
      <table className="scan-apart">
        <thead>
          <tr>
            <td />
            <th scope="col" className="right">
              {t("apart.probe")}
            </th>
            <th scope="col" className="right">
              {t("apart.scan")}
            </th>
            <th scope="col" className="right">
              {t("apart.ends")}
            </th>
          </tr>
        </thead>
        <tbody>
          {map.disagreements.map((each) => (
            <tr key={each.tract}>
              <th scope="row">{t("apart.length", { tract: each.tract })}</th>
              <td className="right">{lengthOf(probed, each.tract)}</td>
              <td className="right">{lengthOf(map.tracts, each.tract)}</td>
              <td className="right">{measure(each.blind_end_mm, "mm")}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {map.disagreements.map((each) => (
        <Said key={each.tract} apart={each} map={map} />
      ))}
    </>
  );
}

/** How far apart, and what the map makes of it. */
function Said({ apart, map }: { apart: Disagreement; map: TractMap }) {
  const t = useSay("scan");
  const areBothKept = map.tracts.some((tract) => tract.name === `${apart.tract}, probed`);
  return (
    <p>
      {t("apart.said", {
        tract: apart.tract,
        ends: measure(apart.blind_end_mm, "mm"),
        mean: measure(apart.mean_mm, "mm"),
      })}{" "}
      {t(areBothKept ? "apart.both" : "apart.close")}
    </p>
  );
}

function lengthOf(tracts: TractMap["tracts"], name: string): string {
  const tract = tracts.find((each) => each.name === name);
  return tract ? measure(tract.length_mm, "mm") : "–";
}

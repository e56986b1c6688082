import type { Case, KnownMap, Missing } from "../../api/records";
import { day } from "../../i18n/figures";
import { isSaid, useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { openEntries } from "./entries";
import { showEntry } from "./showEntry";

type MissingListProps = Pick<StopProps, "goTo" | "today"> & {
  known: KnownMap;
  missing: readonly Missing[];
};

/** What is missing before a plan: what was begun on the page, then what the server misses. */
export function allMissing(entered: Case, known: KnownMap | undefined): Missing[] {
  const open = openEntries(entered);
  const missed = known?.missing ?? [];
  return [...open, ...missed.filter(({ code }) => code !== "no_pit" || open.length === 0)];
}

/** What is still missing before a plan, each with the way to its field; or that nothing is. */
export function MissingList({ known, missing, goTo, today }: MissingListProps) {
  const t = useSay("disease");
  const isAcute = missing.some(({ code }) => code === "acute");
  return (
    <Note title={t("before_plan")}>
      {isAcute ? <Tag kind="stop">{t("not_now")}</Tag> : null}
      {missing.length === 0 ? <p>{t("nothing_missing")}</p> : null}
      <ul className="missing">
        {missing.map((each) => (
          <li key={`${each.code} ${each.place}`}>
            <Said missing={each} known={known} today={today} />{" "}
            <button
              type="button"
              className="quiet"
              onClick={() => showEntry(each.place) || goTo("excision")}
            >
              {t(`go.${isSaid(`disease:go.${each.code}`) ? each.code : "entry"}`)}
            </button>
          </li>
        ))}
      </ul>
      {isAcute ? (
        <p className="small">
          <Told>{known.timing.background}</Told>
        </p>
      ) : null}
    </Note>
  );
}

type SaidProps = { missing: Missing; known: KnownMap; today: string };

/** In the reader's language where there are words for it, else as the server says it. */
function Said({ missing, known, today }: SaidProps) {
  const t = useSay("disease");
  const key = `missing.${missing.code}`;
  if (!isSaid(`disease:${key}`)) return <Told>{missing.sentence}</Told>;
  const { recheck_on } = known.timing;
  const figures = { day: recheck_on ? day(recheck_on, today) : "", name: missing.sentence };
  return <span>{t(key, figures)}</span>;
}

import { useState } from "react";
import type { KnownMap } from "../../api/records";
import { withValue } from "../../editing/paths";
import { number } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Fold } from "../../shell/Fold";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { isOpen, withoutPit, withPit, withPitName, withProbing } from "./entries";
import { Measured } from "./Measured";
import { NameField } from "./NameField";
import { ProbingEntries } from "./ProbingEntries";
import { SideChoice } from "./SideChoice";
import { showEntry } from "./showEntry";
import { keyOf, type Placing, type Thing } from "./usePlacing";

export type PlacedProps = StopProps & {
  known: KnownMap | undefined;
  placing: Placing;
  onNext: (thing: Thing | null) => void;
};

/** Every pit with what was probed from it, and the way to one more. */
export function PitEntries(props: PlacedProps) {
  const { entered, edit, onNext } = props;
  const t = useSay("disease");
  const add = () => {
    const index = entered.pits.length;
    edit("pit added", withPit);
    onNext({ kind: "pit", index });
    showSoon(`pits.${index}`);
  };
  return (
    <section className="note" data-place="pits">
      <h2>{t("pits_title")}</h2>
      {entered.pits.length === 0 ? <p>{t("no_pits")}</p> : null}
      {entered.pits.map((_, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: names change while they are typed
        <PitFold key={index} {...props} index={index} />
      ))}
      <button type="button" className="quiet" onClick={add}>
        {t("add_pit")}
      </button>
    </section>
  );
}

/** One pit behind its gist; open when it comes. */
function PitFold(props: PlacedProps & { index: number }) {
  const { entered, index } = props;
  const [isOpenAtFirst] = useState(
    () => index === 0 || isOpen(entered.pits[index]?.above_coccyx_tip_mm),
  );
  return (
    <Fold title={<PitGist {...props} />} open={isOpenAtFirst}>
      <OnePit {...props} />
    </Fold>
  );
}

/** What was just added is shown once it is drawn. */
export function showSoon(place: string): void {
  requestAnimationFrame(() => requestAnimationFrame(() => showEntry(place)));
}

type OnePitProps = PlacedProps & { index: number };

function OnePit(props: OnePitProps) {
  const { entered, edit, known, placing, onNext, index } = props;
  const t = useSay("disease");
  const pit = entered.pits[index];
  if (!pit) return null;
  const at = ["pits", index] as const;
  const addProbe = () => {
    edit("probe added", (c) => withProbing(c, pit.name));
    showSoon(`probings.${entered.probings.length}`);
  };
  const typed: StopProps["edit"] = (...change) => {
    onNext(null);
    edit(...change);
  };
  return (
    <div className="entry" data-place={`pits.${index}`}>
      <div className="entry-fields">
        <Measured
          {...props}
          edit={typed}
          label={t("above")}
          unit="mm"
          path={[...at, "above_coccyx_tip_mm"]}
        />
        <Measured {...props} label={t("off")} unit="mm" path={[...at, "off_midline_mm"]} />
      </div>
      {pit.off_midline_mm === 0 ? null : (
        <SideChoice
          label={t("pit_side")}
          value={pit.side}
          onChoose={(side) => edit("side of a pit", (c) => withValue(c, [...at, "side"], side))}
        />
      )}
      <Refused sentence={placing.refused[keyOf({ kind: "pit", index })]} />
      <Refused sentence={sentenceOn(known, `pits.${index}`)} />
      {entered.probings.map((probing, each) =>
        probing.pit === pit.name ? (
          // biome-ignore lint/suspicious/noArrayIndexKey: names change while they are typed
          <ProbingEntries key={each} {...props} index={each} />
        ) : null,
      )}
      <div className="entry-actions">
        <button type="button" className="quiet" onClick={addProbe}>
          {t("add_probe", { name: pit.name })}
        </button>
        <button type="button" className="quiet" onClick={() => onNext({ kind: "pit", index })}>
          {t("place_pit")}
        </button>
      </div>
      <PitMore {...props} />
    </div>
  );
}

/** What is seldom changed of a pit. */
function PitMore(props: OnePitProps) {
  const { entered, edit, index } = props;
  const t = useSay("disease");
  const names = entered.pits.map(({ name }) => name);
  const name = names[index] ?? "";
  return (
    <Fold title={t("pit_more", { name })}>
      <div className="entry-fields">
        <NameField
          name={name}
          taken={names}
          onName={(next) => edit("name of a pit", (c) => withPitName(c, index, next))}
        />
        <Measured
          {...props}
          label={t("pit_radius")}
          unit="mm"
          path={["pits", index, "radius_mm"]}
        />
      </div>
      <button
        type="button"
        className="quiet"
        onClick={() => edit("pit removed", (c) => withoutPit(c, index))}
      >
        {t("remove_pit", { name })}
      </button>
    </Fold>
  );
}

/** "Pit 2: 26 mm above the coccyx tip, 1.5 mm to the patient's right". */
function PitGist({ entered, index }: PlacedProps & { index: number }) {
  const t = useSay("disease");
  const pit = entered.pits[index];
  if (!pit) return null;
  const { above_coccyx_tip_mm: above, off_midline_mm: off } = pit;
  const name = t("pit", { name: pit.name });
  if (typeof above !== "number" || typeof off !== "number") return <b>{name}</b>;
  const mm = (value: number) => number(value, Number.isInteger(value) ? 0 : 1);
  const words = [
    t(above < 0 ? "gist_below" : "gist_above", { mm: mm(Math.abs(above)) }),
    off === 0
      ? t("gist_midline")
      : t(pit.side === "patient's left" ? "gist_left" : "gist_right", { mm: mm(off) }),
  ];
  return (
    <>
      <b>{name}</b>: {words.join(", ")}
    </>
  );
}

/** The server's sentence on a thing that could not be placed. */
export function Refused({ sentence }: { sentence: string | undefined }) {
  return sentence ? (
    <p className="entry-refused" role="status">
      <Told>{sentence}</Told>
    </p>
  ) : null;
}

/** What the map says of one entry. */
export function sentenceOn(known: KnownMap | undefined, place: string): string | undefined {
  return known?.missing.find((missing) => missing.place === place)?.sentence;
}

import { without, withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { Fold } from "../../shell/Fold";
import { Measured } from "./Measured";
import { NameField } from "./NameField";
import { type PlacedProps, Refused, sentenceOn } from "./PitEntries";
import { SideChoice } from "./SideChoice";
import { keyOf } from "./usePlacing";

type ProbingProps = PlacedProps & { index: number };

/** One pass of the probe: how long, how deep its tip, which way. */
export function ProbingEntries(props: ProbingProps) {
  const { entered, edit, known, placing, onNext, index } = props;
  const t = useSay("disease");
  const probing = entered.probings[index];
  if (!probing) return null;
  const at = ["probings", index] as const;
  const tract = probing.tract;
  return (
    <section
      className="entry-probe"
      data-place={`probings.${index}`}
      aria-label={t("probe", { tract })}
    >
      <h3>{t("probe", { tract })}</h3>
      <div className="entry-fields">
        <Measured {...props} label={t("length")} unit="mm" path={[...at, "length_mm"]} />
        <Measured {...props} label={t("depth")} unit="mm" path={[...at, "tip_depth_mm"]} />
        <Measured
          {...props}
          label={t("direction")}
          unit="°"
          hint={t("direction_hint")}
          path={[...at, "from_cranial_deg"]}
        />
      </div>
      <SideChoice
        label={t("probe_side")}
        value={probing.side}
        onChoose={(side) => edit("side of a probe", (c) => withValue(c, [...at, "side"], side))}
      />
      <Refused sentence={placing.refused[keyOf({ kind: "tip", index })]} />
      <Refused sentence={sentenceOn(known, `probings.${index}`)} />
      <div className="entry-actions">
        <button type="button" className="quiet" onClick={() => onNext({ kind: "tip", index })}>
          {t("place_tip")}
        </button>
      </div>
      <ProbeMore {...props} />
    </section>
  );
}

/** What is seldom changed of a probe. */
function ProbeMore(props: ProbingProps) {
  const { entered, edit, index } = props;
  const t = useSay("disease");
  const at = ["probings", index] as const;
  const tract = entered.probings[index]?.tract ?? "";
  return (
    <Fold title={t("probe_more", { tract })}>
      <div className="entry-fields">
        <NameField
          name={tract}
          taken={entered.probings.map((each) => each.tract)}
          onName={(name) => edit("name of a tract", (c) => withValue(c, [...at, "tract"], name))}
        />
        <Measured
          {...props}
          label={t("outer_radius")}
          unit="mm"
          path={[...at, "outer_radius_mm"]}
        />
        <Measured
          {...props}
          label={t("cavity_radius")}
          unit="mm"
          hint={t("cavity_hint")}
          path={[...at, "cavity_radius_mm"]}
          mayBeNone
        />
      </div>
      <button
        type="button"
        className="quiet"
        onClick={() => edit("probe removed", (c) => without(c, at))}
      >
        {t("remove_probe", { tract })}
      </button>
    </Fold>
  );
}

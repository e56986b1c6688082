import { asTyped, type Probing } from "../../api/records";
import { withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import { LEFT, RIGHT, useSideWord } from "../../shell/sides";
import type { InTheatre } from "./operation";

const MEASURES = [
  ["length_mm", "mm"],
  ["tip_depth_mm", "mm"],
  ["from_cranial_deg", "°"],
] as const;

/** Branches that nobody knew of, found by dye or probe: where from, which way, how far. */
export function Branches(props: InTheatre & { pits: readonly string[] }) {
  const { start, operation, record, pits } = props;
  const t = useSay("theatre");
  const add = () =>
    record(t("branch.found"), (op) => ({
      ...op,
      branches: [...op.branches, newBranch(start.branch, pits[0] ?? "")],
    }));
  return (
    <div className="branches">
      {operation?.branches.map((branch, index) => (
        <Branch {...props} key={branch.tract} branch={branch} index={index} />
      ))}
      <button type="button" className="outlined" onClick={add}>
        {t("branch.found")}
      </button>
    </div>
  );
}

function newBranch(tract: string, pit: string): Probing {
  return {
    tract,
    pit,
    length_mm: asTyped(""),
    tip_depth_mm: asTyped(""),
    from_cranial_deg: asTyped(""),
    side: LEFT,
    outer_radius_mm: 2.5,
    cavity_radius_mm: null,
  } as unknown as Probing;
}

type BranchProps = Parameters<typeof Branches>[0] & { branch: Probing; index: number };

function Branch({ branch, index, pits, record, refusals }: BranchProps) {
  const t = useSay("theatre");
  const word = useSideWord();
  const put = (field: keyof Probing, value: unknown) =>
    record(
      t("branch.change", { tract: branch.tract }),
      (op) => withValue(op, ["branches", index, field], value),
      `branch ${index} ${field}`,
    );
  const drop = () =>
    record(t("branch.drop", { tract: branch.tract }), (op) => ({
      ...op,
      branches: op.branches.filter((_, n) => n !== index),
    }));
  return (
    <section className="branch" aria-label={t("branch.title", { tract: branch.tract })}>
      <h2>{t("branch.title", { tract: branch.tract })}</h2>
      <Choice
        label={t("branch.pit")}
        options={pits.map((pit) => ({ value: pit, word: pit }))}
        value={branch.pit}
        onChoose={(pit) => put("pit", pit)}
      />
      <Choice
        label={t("branch.side")}
        options={[LEFT, RIGHT].map((side) => ({ value: side, word: word(side) }))}
        value={branch.side}
        onChoose={(side) => put("side", side)}
      />
      {MEASURES.map(([field, unit]) => (
        <NumberField
          key={field}
          label={t(`branch.${field}`)}
          unit={unit}
          value={branch[field]}
          sentence={
            (branch[field] as unknown) === ""
              ? t("branch.missing")
              : said(refusals, ["operation", "branches", index, field])
          }
          onType={(text) => put(field, asTyped(text))}
        />
      ))}
      <button type="button" className="quiet" onClick={drop}>
        {t("branch.drop", { tract: branch.tract })}
      </button>
    </section>
  );
}

import type { Answer } from "../../api/records";
import { type Path, valueAt, withValue } from "../../editing/paths";
import { day } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { SUBSTANCES } from "../../shell/Allergies";
import { AnswerChoice } from "../../shell/Choice";
import { DayField } from "../../shell/DayField";
import { said } from "../../shell/Field";
import { Fold } from "../../shell/Fold";
import { NumberField } from "../../shell/NumberField";
import { TextField } from "../../shell/TextField";
import { SIGNS } from "../Cases/entries";
import { Questions } from "../Cases/Questions";
import type { StopProps } from "../contract";
import { FOLDS, type Folds, isOpen, withEntries, withFold } from "./entries";
import { Measured } from "./Measured";

const DRUGS = [
  "anticoagulant",
  "serotonergic",
  "immunosuppressant",
  "g6pd_deficiency",
  "pregnancy",
] as const;

const MEASURES = [
  "cleft_depth_mm",
  "cleft_half_width_mm",
  "presacral_depth_mm",
  "gluteal_depth_mm",
];

/** All that is found and asked besides pits and probes, each group behind its gist. */
export function Findings(props: StopProps) {
  return (
    <div>
      <Asked {...props} name="acute_signs" names={SIGNS} words="shell:acute" />
      <Region {...props} />
      <History {...props} />
      <Asked {...props} name="allergies" names={SUBSTANCES} words="shell:allergy" />
      <Asked {...props} name="drugs" names={DRUGS} words="disease:drug" />
      <SkinFolds {...props} />
      <Who {...props} />
    </div>
  );
}

type AskedProps = StopProps & {
  name: "acute_signs" | "allergies" | "drugs";
  names: readonly string[];
  words: string;
};

/** Questions of one kind, each yes, no or not asked; the gist says what is known. */
function Asked({ entered, edit, name, names, words }: AskedProps) {
  const t = useSay("disease");
  const answers = entered.findings[name] as Readonly<Record<string, Answer | string>>;
  const given = Object.fromEntries(names.map((each) => [each, answers[each] as Answer]));
  const present = names.filter((each) => given[each] === "yes");
  const open = names.filter((each) => given[each] === "not asked");
  const gist = [
    ...(present.length > 0 ? [present.map((each) => t(`${words}.${each}`)).join(", ")] : []),
    ...(open.length > 0 ? [t("gist_open", { count: open.length })] : []),
    ...(present.length + open.length === 0 ? [t("gist_none")] : []),
  ];
  const path = ["findings", name] as const;
  return (
    <Fold title={<Gist title={t(`${name}_title`)} gist={gist.join("; ")} />}>
      <div data-place={path.join(".")}>
        <Questions
          words={words}
          names={names}
          answers={given}
          onAnswer={(next) => edit(name, (c) => withEntries(c, path, next))}
        />
        {"note" in answers ? (
          <TextField
            label={t("note")}
            value={String(answers.note)}
            onType={(text) =>
              edit("note", (c) => withValue(c, [...path, "note"], text), `${name} note`)
            }
          />
        ) : null}
      </div>
    </Fold>
  );
}

/** Landmarks and the shape of the region, by hand. */
function Region(props: StopProps) {
  const { entered } = props;
  const t = useSay("disease");
  const mm = (name: string) => String(valueAt(entered, ["body", name]));
  const gist = t("gist_region", {
    verge: mm("anal_verge_below_coccyx_tip_mm"),
    cleft: mm("cleft_depth_mm"),
  });
  return (
    <Fold title={<Gist title={t("region_title")} gist={gist} />}>
      <div className="entry-fields" data-place="body">
        <Measured
          {...props}
          label={t("verge_below")}
          unit="mm"
          path={["body", "anal_verge_below_coccyx_tip_mm"]}
        />
        {MEASURES.map((name) => (
          <Measured key={name} {...props} label={t(name)} unit="mm" path={["body", name]} />
        ))}
      </div>
      <p className="small">{t("region_source")}</p>
    </Fold>
  );
}

function History(props: StopProps) {
  const { entered, edit, refusals, today } = props;
  const t = useSay("disease");
  const { recurrent, seen_on, note } = entered.findings;
  const put = (at: Path, value: unknown, merge?: string) =>
    edit("findings", (c) => withValue(c, at, value), merge);
  const gist = t("gist_history", {
    day: day(seen_on, today),
    answer: t(`shell:answer.${recurrent}`),
  });
  return (
    <Fold title={<Gist title={t("history_title")} gist={gist} />}>
      <div className="entry-fields" data-place="findings">
        <div data-place="findings.seen_on" className="entry-place">
          <DayField
            label={t("seen_on")}
            value={seen_on}
            latest={today}
            sentence={said(refusals, ["findings", "seen_on"])}
            onDay={(iso) => iso && put(["findings", "seen_on"], iso)}
          />
        </div>
        <Measured
          {...props}
          label={t("weight")}
          unit="kg"
          path={["patient", "weight_kg"]}
          mayBeNone
        />
      </div>
      <AnswerChoice
        label={t("recurrent")}
        value={recurrent}
        onChoose={(answer) => put(["findings", "recurrent"], answer)}
      />
      <TextField
        label={t("note")}
        long
        value={note}
        sentence={said(refusals, ["findings", "note"])}
        onType={(text) => put(["findings", "note"], text, "findings note")}
      />
    </Fold>
  );
}

/** Folds pinched in four directions: they show how the skin is tensed. */
function SkinFolds({ entered, edit, refusals }: StopProps) {
  const t = useSay("disease");
  const { folds } = entered.skin;
  const heightOf = (name: keyof Folds) => folds?.[name] ?? null;
  return (
    <Fold
      title={<Gist title={t("folds_title")} gist={t(folds ? "gist_folds" : "gist_no_folds")} />}
    >
      <p className="small">{t("folds_how")}</p>
      <div className="entry-fields" data-place="skin.folds">
        {FOLDS.map((name) => (
          <NumberField
            key={name}
            label={t(`fold.${name}`)}
            unit="mm"
            value={heightOf(name)}
            sentence={isOpen(heightOf(name)) ? null : said(refusals, ["skin", "folds", name])}
            hint={isOpen(heightOf(name)) ? t("not_entered") : undefined}
            onType={(text) => edit("skin folds", (c) => withFold(c, name, text), `fold ${name}`)}
          />
        ))}
      </div>
    </Fold>
  );
}

function Who({ entered, edit, refusals, today }: StopProps) {
  const t = useSay("disease");
  const { label, identifier, birth_date } = entered.patient;
  const put = (name: string) => (value: string | null) =>
    edit("patient", (c) => withValue(c, ["patient", name], value), `patient ${name}`);
  return (
    <Fold title={<Gist title={t("who_title")} gist={label} />}>
      <div className="entry-fields" data-place="patient">
        <TextField
          label={t("cases:new.label")}
          value={label}
          sentence={said(refusals, ["patient", "label"])}
          onType={put("label")}
        />
        <TextField
          label={t("cases:new.identifier")}
          value={identifier}
          sentence={said(refusals, ["patient", "identifier"])}
          onType={put("identifier")}
        />
        <DayField
          label={t("cases:new.birth_date")}
          value={birth_date}
          latest={today}
          sentence={said(refusals, ["patient", "birth_date"])}
          onDay={put("birth_date")}
        />
      </div>
    </Fold>
  );
}

function Gist({ title, gist }: { title: string; gist: string }) {
  return (
    <>
      <b>{title}</b>: {gist}
    </>
  );
}

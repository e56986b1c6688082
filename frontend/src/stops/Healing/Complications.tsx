import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { read } from "../../api/client";
import { withValue } from "../../editing/paths";
import { language } from "../../i18n";
import { useSay } from "../../i18n/say";
import { DayField } from "../../shell/DayField";
import { said } from "../../shell/Field";
import { Fold } from "../../shell/Fold";
import { Note } from "../../shell/Note";
import { TextField } from "../../shell/TextField";
import type { StopProps } from "../contract";
import { shortDay } from "./days";
import { GradeChoice, type GradeRule } from "./GradeChoice";
import { type Complication, inAftercare } from "./records";

const LIST = ["aftercare", "complications"] as const;

/** What went wrong, graded by the rule that the unit has fixed. */
export function Complications(props: StopProps) {
  const t = useSay("healing");
  const { entered } = props;
  const rules = useQuery({
    queryKey: ["complication grades"],
    queryFn: ({ signal }) => read<GradeRule[]>("/api/complications/grades", signal),
    staleTime: Number.POSITIVE_INFINITY,
  }).data;
  const noted = entered.aftercare.complications;
  return (
    <Note title={t("complication.title")}>
      {noted.length === 0 ? <p>{t("complication.none")}</p> : null}
      <ul className="agenda">
        {noted.map((each, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: entries have no other name
          <Entry key={index} {...props} each={each} index={index} rules={rules ?? []} />
        ))}
      </ul>
      {rules ? (
        <Fold title={t("complication.add")}>
          <NewComplication {...props} rules={rules} />
        </Fold>
      ) : null}
    </Note>
  );
}

type EntryProps = StopProps & { each: Complication; index: number; rules: readonly GradeRule[] };

function Entry({ each, index, rules, edit, refusals, today }: EntryProps) {
  const t = useSay("healing");
  const at = (field: keyof Complication) => [...LIST, index, field];
  const put = (field: keyof Complication, value: unknown) =>
    edit(t("edits.complication"), (c) => withValue(c, at(field), value), `complication ${index}`);
  const remove = () =>
    edit(
      t("edits.complication"),
      inAftercare((care) => ({
        ...care,
        complications: care.complications.filter((_, i) => i !== index),
      })),
    );
  const rule = rules.find((one) => one.grade === each.grade);
  return (
    <li>
      <span className="agenda-day">{shortDay(each.noted_on, today)}</span>
      <span className="agenda-what">
        <b>{t("complication.grade_of", { grade: each.grade, what: each.what })}</b>
        <span>{each.treatment}</span>
        {rule ? <span className="small">{meansOf(rule)}</span> : null}
        <Fold title={t("complication.correct")}>
          <div className="complication-fields">
            <TextField
              label={t("complication.what")}
              value={each.what}
              sentence={said(refusals, at("what"))}
              onType={(what) => put("what", what)}
            />
            <TextField
              label={t("complication.treatment")}
              value={each.treatment}
              sentence={said(refusals, at("treatment"))}
              onType={(treatment) => put("treatment", treatment)}
            />
            <GradeChoice rules={rules} value={each.grade} onChoose={(g) => put("grade", g)} />
            <DayField
              label={t("complication.ended_on")}
              value={each.ended_on}
              latest={today}
              sentence={said(refusals, at("ended_on"))}
              onDay={(day) => put("ended_on", day)}
            />
            <button type="button" className="quiet" onClick={remove}>
              {t("complication.remove")}
            </button>
          </div>
        </Fold>
      </span>
    </li>
  );
}

type Draft = {
  noted_on: string | null;
  what: string;
  treatment: string;
  grade: Complication["grade"] | null;
};

function NewComplication({ edit, today, rules }: StopProps & { rules: readonly GradeRule[] }) {
  const t = useSay("healing");
  const fresh: Draft = { noted_on: today, what: "", treatment: "", grade: null };
  const [draft, setDraft] = useState(fresh);
  const put = (some: Partial<Draft>) => setDraft({ ...draft, ...some });
  const [isUnread, setUnread] = useState(false);
  const { grade, noted_on } = draft;
  const isLate = noted_on !== null && noted_on > today;
  const off = isUnread || isLate ? t("complication.wrong_day") : missing(draft, t);
  const save = () => {
    if (grade === null || noted_on === null) return;
    const made: Complication = { ...draft, grade, noted_on, ended_on: null };
    edit(
      t("edits.complication"),
      inAftercare((care) => ({ ...care, complications: [...care.complications, made] })),
    );
    setDraft(fresh);
  };
  return (
    <div className="complication-fields">
      <DayField
        label={t("complication.noted_on")}
        value={noted_on}
        latest={today}
        onDay={(day) => put({ noted_on: day })}
        onUnread={setUnread}
      />
      <TextField
        label={t("complication.what")}
        value={draft.what}
        hint={t("complication.what_hint")}
        onType={(what) => put({ what })}
      />
      <TextField
        label={t("complication.treatment")}
        value={draft.treatment}
        onType={(treatment) => put({ treatment })}
      />
      <GradeChoice rules={rules} value={grade} onChoose={(next) => put({ grade: next })} />
      <button type="button" className="outlined" disabled={off !== null} onClick={save}>
        {t("complication.save")}
      </button>
      {off ? <p className="small">{off}</p> : null}
    </div>
  );
}

function missing(draft: Draft, t: ReturnType<typeof useSay>): string | null {
  const { noted_on, what, grade } = draft;
  if (noted_on === null) return t("complication.no_day");
  if (what.trim() === "") return t("complication.no_what");
  return grade === null ? t("complication.no_grade") : null;
}

function meansOf(rule: GradeRule): string {
  return language() === "de" ? rule.means_german : rule.means_english;
}

import { useSay } from "../../i18n/say";
import { AnswerChoice } from "../../shell/Choice";
import { type Answers, allAnswered } from "./entries";

type QuestionsProps<Name extends string> = {
  /** Left out where it stands above them already. */
  title?: string;
  /** Where the words for the names are. */
  words: string;
  names: readonly Name[];
  answers: Answers<Name>;
  onAnswer: (answers: Answers<Name>) => void;
};

/** Several questions; each is asked, and one tap says that all were asked and answered no. */
export function Questions<Name extends string>(props: QuestionsProps<Name>) {
  const { title, words, names, answers, onAnswer } = props;
  const t = useSay("cases");
  return (
    <section className="questions">
      {title === undefined ? null : <h2>{title}</h2>}
      {names.map((name) => (
        <AnswerChoice
          key={name}
          label={t(`${words}.${name}`)}
          value={answers[name]}
          onChoose={(answer) => onAnswer({ ...answers, [name]: answer })}
        />
      ))}
      <button type="button" className="quiet" onClick={() => onAnswer(allAnswered(names, "no"))}>
        {t("new.all_no")}
      </button>
    </section>
  );
}

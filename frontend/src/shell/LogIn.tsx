import { type FormEvent, useRef, useState } from "react";
import { RefusedError } from "../api/client";
import { logIn } from "../api/session";
import { todayIso } from "../i18n/figures";
import { useSay } from "../i18n/say";
import { toldText } from "../i18n/told";
import { Field } from "./Field";
import { Page } from "./Page";
import { useWho } from "./rights";
import "./LogIn.css";

const NOT_KNOWN = 401;

/** Name and password; what was typed in a case before stays and is sent afterwards. */
export function LogIn({ wasIn }: { wasIn: boolean }) {
  const t = useSay();
  const { locks_after, locked_minutes } = useWho();
  const [name, setName] = useState("");
  const [password, setPassword] = useState("");
  const [sentence, setSentence] = useState<string | null>(null);
  const [isAsking, setAsking] = useState(false);
  const field = useRef<HTMLInputElement>(null);
  const enter = (event: FormEvent) => {
    event.preventDefault();
    if (isAsking) return;
    setAsking(true);
    logIn(name, password)
      .catch((fault: Error) => {
        const isWrong = fault instanceof RefusedError && fault.status === NOT_KNOWN;
        const figures = { tries: locks_after, minutes: locked_minutes };
        setSentence(isWrong ? t("log_in.wrong", figures) : toldText(fault.message));
        field.current?.select();
      })
      .finally(() => setAsking(false));
  };
  return (
    <Page open={null} today={todayIso()} foot={<p className="small">{t("log_in.ask")}</p>}>
      <form className="log-in" onSubmit={enter}>
        <h1>{t("log_in.title")}</h1>
        {wasIn ? <p role="status">{t("log_in.again")}</p> : null}
        <Field label={t("log_in.name")}>
          {(joined) => (
            <input
              {...joined}
              type="text"
              autoComplete="username"
              autoCapitalize="none"
              spellCheck={false}
              value={name}
              onChange={(event) => setName(event.target.value)}
            />
          )}
        </Field>
        <Field label={t("log_in.password")} sentence={sentence}>
          {(joined) => (
            <input
              {...joined}
              ref={field}
              type="password"
              autoComplete="current-password"
              value={password}
              onChange={(event) => setPassword(event.target.value)}
            />
          )}
        </Field>
        <button type="submit" className="primary-button" aria-disabled={isAsking}>
          {t(isAsking ? "log_in.asking" : "log_in.enter")}
        </button>
      </form>
    </Page>
  );
}

import type { LimitCheck } from "../api/records";
import { measure, number } from "../i18n/figures";
import { isSaid, useSay } from "../i18n/say";
import { Note } from "../shell/Note";
import { Tag } from "../shell/Tag";
import { Told } from "../shell/Told";
import "./LimitList.css";

/** What was asked for and what the drawing reaches; what is broken stands first, with a word. */
export function LimitList({ limits }: { limits: readonly LimitCheck[] }) {
  const t = useSay("moving");
  const broken = limits.filter((check) => !check.kept);
  const kept = limits.filter((check) => check.kept);
  return (
    <Note title={t(broken.length > 0 ? "limits_broken" : "limits_kept", { count: broken.length })}>
      <ul className="limit-list" aria-live="polite">
        {[...broken, ...kept].map((check) => (
          <Line key={check.limit} check={check} />
        ))}
      </ul>
    </Note>
  );
}

function Line({ check }: { check: LimitCheck }) {
  const t = useSay("moving");
  const { limit, kept, hard } = check;
  return (
    <li className={kept ? "limit" : "limit limit-broken"}>
      <LimitName limit={limit} />
      <span className="limit-figures">
        <b>{figure(check, check.reached)}</b> {t("asked", { asked: figure(check, check.asked) })}
      </span>
      {kept ? null : <Tag kind={hard ? "stop" : "check"}>{t(hard ? "broken" : "check")}</Tag>}
    </li>
  );
}

/** A limit in the reader's words; one that has none yet in the server's. */
export function LimitName({ limit }: { limit: string }) {
  const t = useSay("moving");
  const key = `limit.${limit}`;
  return isSaid(`moving:${key}`) ? <span>{t(key)}</span> : <Told>{limit}</Told>;
}

/** A length to a tenth of a millimetre, a ratio to a hundredth. */
export function figure({ unit }: LimitCheck, value: number): string {
  return unit === "" ? number(value, 2) : measure(value, unit, 1);
}

import type { ReactNode } from "react";
import type { LimitCheck } from "../api/records";
import { useSay } from "../i18n/say";
import { Tag } from "../shell/Tag";
import { Told } from "../shell/Told";
import { figure, LimitName } from "./LimitList";
import type { Moving } from "./useMoving";
import "./Standing.css";

/** How the drawing stands, right above it: a move that cannot be, limits that break, or a word. */
export function Standing({ moving, children }: { moving: Moving; children: ReactNode }) {
  const t = useSay("moving");
  const { refused, preview } = moving;
  const broken = (preview?.limits ?? []).filter((check) => !check.kept && check.hard);
  return (
    <div className="standing" role="status">
      {refused ? (
        <p className="standing-said">
          <Tag kind="stop">{t("not_so")}</Tag> <Told>{refused}</Told>
        </p>
      ) : null}
      {!refused && broken.length > 0 ? (
        <p className="standing-said">
          <Tag kind="stop">{t("limits_broken", { count: broken.length })}</Tag>{" "}
          {broken.map((check) => (
            <Broken key={check.limit} check={check} />
          ))}
        </p>
      ) : null}
      {!refused && broken.length === 0 ? <p className="small">{children}</p> : null}
    </div>
  );
}

function Broken({ check }: { check: LimitCheck }) {
  return (
    <span className="standing-limit">
      <LimitName limit={check.limit} /> {figure(check, check.asked)}:{" "}
      <b>{figure(check, check.reached)}</b>.
    </span>
  );
}

import type { ReactNode } from "react";
import { useSay } from "../../../i18n/say";
import { said } from "../../../shell/Field";
import { Fold } from "../../../shell/Fold";
import { TextField } from "../../../shell/TextField";
import type { StopProps } from "../../contract";
import {
  cavityTarget,
  clicksOf,
  floorTargets,
  landmarkTargets,
  type Mark,
  marksOf,
  newCavity,
  sameTarget,
  type Target,
  tractTargets,
  withName,
  withoutPart,
  withTract,
} from "./marks";

/** What the next tap marks: a target, and which of its points is moved; none: one more is added. */
export type Chosen = { target: Target; point: number | null };

type MarkListProps = StopProps & {
  chosen: Chosen | null;
  choose: (chosen: Chosen | null) => void;
  show: (mark: Mark) => void;
  remove: (mark: Mark) => void;
};

/** Everything that can be marked on the scan, and what is marked already. */
export function MarkList(props: MarkListProps) {
  const t = useSay("scan");
  const { entered, edit, refusals } = props;
  const clicks = clicksOf(entered);
  const rows = (targets: readonly Target[]) =>
    targets.map((target) => <MarkRow key={target.path.join()} {...props} target={target} />);
  const addTract = () => {
    edit(t("edit.add_tract"), withTract);
    const next = tractTargets(clicksOf(withTract(entered)), clicks.tracts.length)[0];
    if (next) props.choose({ target: next, point: null });
  };
  const part = (path: readonly (string | number)[], name: string, children: ReactNode) => (
    <li key={path.join()} className="mark-group">
      <h3>{name}</h3>
      <ul className="mark-list">{children}</ul>
      <Fold title={t("name_or_remove", { name })}>
        <TextField
          label={t("name")}
          value={name}
          sentence={said(refusals, ["clicks", ...path, "name"])}
          onType={(typed) => edit(t("edit.name"), (c) => withName(c, path, typed), path.join())}
        />
        <button
          type="button"
          className="quiet"
          onClick={() => {
            edit(t("edit.remove", { name }), (c) => withoutPart(c, path));
            props.choose(null);
          }}
        >
          {t("remove_named", { name })}
        </button>
      </Fold>
    </li>
  );
  const cavity = newCavity(entered, t("cavity_word"));
  return (
    <ul className="mark-groups">
      <li className="mark-group">
        <h3>{t("group.landmarks")}</h3>
        <ul className="mark-list">{rows(landmarkTargets())}</ul>
      </li>
      {clicks.tracts.map((tract, n) =>
        part(["tracts", n], tract.name, rows(tractTargets(clicks, n))),
      )}
      {clicks.cavities.map((each, n) =>
        part(["cavities", n], each.name, rows([cavityTarget(clicks, n)])),
      )}
      {props.chosen && sameTarget(props.chosen.target, cavity) ? (
        <li className="mark-group">
          <h3>{cavity.of}</h3>
          <ul className="mark-list">{rows([cavity])}</ul>
        </li>
      ) : null}
      <li className="scan-row">
        <button type="button" className="quiet" onClick={addTract}>
          {t("add_tract")}
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => props.choose({ target: cavity, point: null })}
        >
          {t("add_cavity")}
        </button>
      </li>
      <li className="mark-group">
        <h3>{t("group.floor")}</h3>
        <p className="small">{t("group.floor_why")}</p>
        <ul className="mark-list">{rows(floorTargets())}</ul>
      </li>
    </ul>
  );
}

type MarkRowProps = MarkListProps & { target: Target };

/** One thing to mark: chosen, the next tap on the picture sets it. */
function MarkRow(props: MarkRowProps) {
  const t = useSay("scan");
  const { target, entered, chosen, choose, show } = props;
  const marks = marksOf(clicksOf(entered), target);
  const isChosen = sameTarget(chosen?.target ?? null, target);
  const press = () => {
    choose(isChosen ? null : { target, point: null });
    const first = marks[0];
    if (!isChosen && first && !target.many) show(first);
  };
  return (
    <li className={isChosen ? "mark-row mark-row-chosen" : "mark-row"}>
      <button type="button" className="mark-choose" aria-pressed={isChosen} onClick={press}>
        <span>{t(`mark.${target.kind}`)}</span>
        <span className="mark-state">{stateOf(target, marks.length, t)}</span>
      </button>
      {isChosen ? <Actions {...props} marks={marks} point={chosen?.point ?? null} /> : null}
    </li>
  );
}

type ActionsProps = MarkRowProps & { marks: readonly Mark[]; point: number | null };

/** How to mark it, and what can be done with what is marked. */
function Actions({ target, marks, point, choose, show, remove }: ActionsProps) {
  const t = useSay("scan");
  const at = target.many ? marks.find((mark) => mark.number === point) : marks[0];
  return (
    <div className="mark-actions">
      <p className="small">{t(at ? "tap_moves" : `how.${target.kind}`)}</p>
      <div className="scan-row">
        {target.many ? (
          <Steps
            marks={marks}
            point={point}
            step={(n) => choose({ target, point: n })}
            show={show}
          />
        ) : null}
        {at ? (
          <button type="button" className="quiet" onClick={() => remove(at)}>
            {target.many ? t("remove_point", { number: at.number }) : t("remove")}
          </button>
        ) : null}
      </div>
    </div>
  );
}

type StepsProps = {
  marks: readonly Mark[];
  point: number | null;
  step: (point: number | null) => void;
  show: (mark: Mark) => void;
};

/** From point to point of a list; after the last one the next tap adds one more. */
function Steps({ marks, point, step, show }: StepsProps) {
  const t = useSay("scan");
  if (marks.length === 0) return null;
  const go = (to: number) => {
    const mark = marks[to - 1];
    step(mark ? to : null);
    if (mark) show(mark);
  };
  return (
    <>
      <button
        type="button"
        className="quiet"
        disabled={point === 1}
        onClick={() => go((point ?? marks.length + 1) - 1)}
      >
        {t("point_before")}
      </button>
      <span className="small">
        {point === null ? t("point_new") : t("point_of", { number: point, count: marks.length })}
      </span>
      <button
        type="button"
        className="quiet"
        disabled={point === null}
        onClick={() => go((point ?? 0) + 1)}
      >
        {t("point_after")}
      </button>
    </>
  );
}

function stateOf(target: Target, count: number, t: ReturnType<typeof useSay>): string {
  if (target.many) return t("points", { count });
  return t(count > 0 ? "marked" : "not_marked");
}

import { useEffect, useId, useState } from "react";
import type { Plan, SkinFilm, SkinMoment, TractMap } from "../../../api/records";
import { type Say, useSay } from "../../../i18n/say";
import { Landmarks } from "../../../plan/Landmarks";
import { Midline } from "../../../plan/Midline";
import { frameOf, type Point } from "../../../plan/paper";
import { SkinPlan } from "../../../plan/SkinPlan";
import { Choice } from "../../../shell/Choice";
import { FilmKey } from "./FilmKey";
import { Moment, ScarLine } from "./Moment";
import { type Reel, reelAt, stepped } from "./reel";
import { Tension } from "./Tension";
import { Within } from "./Within";

const STEP_MS = 400;
const VERGE_ROOM_MM = 8;

type View = "lines" | "tension";

type PlayerProps = { film: SkinFilm; plan: Plan; map: TractMap };

/** Step by step or played: how the flaps turn, where the scar comes to lie, how tense it is. */
export function Player({ film, plan, map }: PlayerProps) {
  const t = useSay("closure");
  const last = film.moments.length - 1;
  const [reel, setReel] = useState<Reel>(() => reelAt(0, !isStill()));
  const [view, setView] = useState<View>("lines");
  useEffect(() => {
    if (!reel.plays) return;
    const timer = setTimeout(() => setReel(stepped(reel, 1, last)), STEP_MS);
    return () => clearTimeout(timer);
  }, [reel, last]);
  const moment = film.moments[reel.at] as SkinMoment;
  const title = t("film.drawn", { plan: plan.id, moment: momentWords(moment, t) });
  const verge: Point = [map.anal_verge_mm[0], map.anal_verge_mm[1]];
  const showsTension = view === "tension" && moment.tension.length > 0;
  return (
    <>
      <Track reel={reel} film={film} onReel={setReel} />
      <SkinPlan
        title={title}
        low={withVerge(film.low_mm, verge)}
        high={film.high_mm}
        tallest={0.62}
      >
        <Within low={film.low_mm} high={film.high_mm}>
          {showsTension ? <Tension bands={moment.tension} /> : null}
          <Moment moment={moment} plain={showsTension} />
        </Within>
        <ScarLine moment={moment} />
        <Midline />
        <Landmarks analVerge={verge} wordsOn={null} />
      </SkinPlan>
      {moment.computed ? (
        <Choice
          label={t("film.view")}
          options={(["lines", "tension"] as const).map((value) => ({
            value,
            word: t(`film.${value}`),
          }))}
          value={view}
          onChoose={setView}
        />
      ) : (
        <p className="small">{t("film.not_computed")}</p>
      )}
      <FilmKey moment={moment} showsTension={showsTension} />
    </>
  );
}

type TrackProps = { reel: Reel; film: SkinFilm; onReel: (reel: Reel) => void };

/** Play, pause, back and on, and a track to step along by pointer or arrow keys. */
function Track({ reel, film, onReel }: TrackProps) {
  const t = useSay("closure");
  const id = useId();
  const last = film.moments.length - 1;
  const words = momentWords(film.moments[reel.at] as SkinMoment, t);
  const play = () => onReel(reelAt(reel.at === last ? 0 : reel.at, true));
  return (
    <div className="film-track">
      <button
        type="button"
        className="quiet"
        onClick={() => onReel(stepped(reel, -1, last, false))}
      >
        {t("film.back")}
      </button>
      {reel.plays ? (
        <button type="button" className="quiet" onClick={() => onReel(reelAt(reel.at, false))}>
          {t("film.pause")}
        </button>
      ) : (
        <button type="button" className="quiet" onClick={play}>
          {t(reel.at === last ? "film.play_again" : "film.play")}
        </button>
      )}
      <button type="button" className="quiet" onClick={() => onReel(stepped(reel, 1, last, false))}>
        {t("film.on")}
      </button>
      <span className="film-scrub">
        <label htmlFor={id} className="unseen">
          {t("film.track")}
        </label>
        <input
          id={id}
          type="range"
          min={0}
          max={last}
          step={1}
          value={reel.at}
          aria-valuetext={words}
          onChange={(event) => onReel(reelAt(event.target.valueAsNumber, false))}
        />
        <output htmlFor={id}>{words}</output>
      </span>
    </div>
  );
}

/** "as cut", "33 of 100 of the way", "sutured". */
function momentWords({ turned_fraction }: SkinMoment, t: Say): string {
  if (turned_fraction === 0) return t("film.cut");
  if (turned_fraction === 1) return t("film.sutured");
  return t("film.way", { share: Math.round(100 * turned_fraction) });
}

/** The lower left corner, low enough to show the anal verge too. */
function withVerge(low: Point, verge: Point): Point {
  return [low[0], Math.min(low[1], frameOf([verge], VERGE_ROOM_MM).low[1])];
}

/** Whether the reader asked for less motion: then nothing plays by itself. */
function isStill(): boolean {
  return window.matchMedia("(prefers-reduced-motion: reduce)").matches;
}

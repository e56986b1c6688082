import type { SkinMoment, TensionBand } from "../../../api/records";
import { number } from "../../../i18n/figures";
import { type Say, useSay } from "../../../i18n/say";
import { PaperContext } from "../../../plan/paper";
import { BandPatterns, useBandFill } from "./Tension";

type FilmKeyProps = { moment: SkinMoment; showsTension: boolean };

/** What the lines and patterns of a moment mean, in words. */
export function FilmKey({ moment, showsTension }: FilmKeyProps) {
  const t = useSay("closure");
  return (
    <div className="film-key">
      <p className="small">
        {t("film.midlines")} {moment.scar.length > 0 ? t("film.ticks") : null}
      </p>
      {showsTension ? <TensionKey bands={moment.tension} /> : null}
      {moment.computed ? <p className="small">{t("film.honest")}</p> : null}
    </div>
  );
}

function TensionKey({ bands }: { bands: readonly TensionBand[] }) {
  const t = useSay("closure");
  return (
    <ul className="film-bands">
      {bands.map((band, i) => (
        <li key={band.low_ratio}>
          <BandSample band={i} />
          <span>{bandWords(band, t)}</span>
        </li>
      ))}
      <li>
        <span className="film-blank" aria-hidden="true" />
        <span>{t("film.as_before")}</span>
      </li>
    </ul>
  );
}

const PAPER = { low: [0, 0], high: [44, 26], px_mm: 1, id: "film-key-" } as const;

function BandSample({ band }: { band: number }) {
  return (
    <PaperContext value={{ ...PAPER, id: `${PAPER.id}${band}-` }}>
      <svg
        className="plan film-sample"
        width="44"
        height="26"
        viewBox="0 0 44 26"
        aria-hidden="true"
      >
        <BandPatterns />
        <Sample band={band} />
      </svg>
    </PaperContext>
  );
}

function Sample({ band }: { band: number }) {
  const fill = useBandFill();
  return (
    <rect
      className={`film-tension film-tension-${band}`}
      width="44"
      height="26"
      fill={fill(band)}
    />
  );
}

/** "1.5 to 2 times the tension before". */
function bandWords({ low_ratio, high_ratio }: TensionBand, t: Say): string {
  const digits = (ratio: number) => String(ratio).split(".")[1]?.length ?? 0;
  const low = number(low_ratio, digits(low_ratio));
  if (high_ratio === null) return t("film.above", { low });
  const high = number(high_ratio, digits(high_ratio));
  return low_ratio === 0 ? t("film.below", { high }) : t("film.between", { low, high });
}

import type { ReactNode } from "react";
import { useSay } from "../../i18n/say";

/** What the patterns of the fan mean, in words. */
export function FanKey({ id, hasForecast }: { id: string; hasForecast: boolean }) {
  const t = useSay("healing");
  return (
    <ul className="curve-key">
      <Key words={t("fan.key_read")}>
        <rect className="read-bar" x="9" y="2" width="12" height="14" />
      </Key>
      {hasForecast ? (
        <>
          <Key words={t("fan.key_half")}>
            <rect className="fan" width="30" height="18" />
            <rect fill={`url(#${id}-dense)`} width="30" height="18" />
          </Key>
          <Key words={t("fan.key_8_in_10")}>
            <rect className="fan" width="30" height="18" />
            <rect fill={`url(#${id}-wide)`} width="30" height="18" />
          </Key>
          <Key words={t("fan.key_days")}>
            <rect className="band-bar" y="5" width="30" height="9" />
          </Key>
        </>
      ) : null}
    </ul>
  );
}

export function Key({ words, children }: { words: string; children: ReactNode }) {
  return (
    <li>
      <svg width="30" height="18" aria-hidden="true">
        {children}
      </svg>
      <span>{words}</span>
    </li>
  );
}

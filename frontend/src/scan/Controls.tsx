import { useState } from "react";
import { write } from "../api/client";
import { useSay } from "../i18n/say";
import { Choice } from "../shell/Choice";
import { Fold } from "../shell/Fold";
import { NumberField } from "../shell/NumberField";
import { Told } from "../shell/Told";
import { atPixel, closer, type Looking, seenFrom, withGreys, ZOOMS } from "./looking";
import { pixelOf } from "./slices";
import type { Scan } from "./useScan";

type ControlsProps = {
  scan: Scan;
  look: Looking;
  onLook: (look: Looking) => void;
  /** What the keys do. */
  help: string;
};

/** How it is looked at: all that drag and keys do, once more as buttons and fields. */
export function Controls({ scan, look, onLook, help }: ControlsProps) {
  const t = useSay("scan");
  const views = scan.picture.views;
  return (
    <>
      <Choice
        label={t("seen")}
        options={views.map((view) => ({ value: view.name, word: t(`view.${view.name}`) }))}
        value={look.view.name}
        onChoose={(name) => {
          const view = views.find((each) => each.name === name);
          if (view) onLook(seenFrom(look, view));
        }}
      />
      <Choice
        label={t("size")}
        options={ZOOMS.map((zoom) => ({ value: String(zoom), word: t(`zoom.${zoom}`) }))}
        value={String(look.zoom)}
        onChoose={(zoom) => onLook(closer(look, Number(zoom)))}
      />
      <Greys scan={scan} look={look} onLook={onLook} />
      <Fold title={t("by_keys")}>
        <p>{help}</p>
      </Fold>
    </>
  );
}

type PartProps = Pick<ControlsProps, "look" | "onLook">;

/** From slice to slice without a wheel. */
export function SliceSteps({ look, onLook }: PartProps) {
  const t = useSay("scan");
  const { view } = look;
  const { slice } = pixelOf(view, look.cursor);
  const go = (to: number) => onLook(atPixel(look, { slice: to }));
  const figures = { number: slice + 1, count: view.slices };
  return (
    <div className="slice-steps">
      <button type="button" className="quiet" disabled={slice === 0} onClick={() => go(slice - 1)}>
        {t(`before.${view.towards}`)}
      </button>
      <label className="slice-range">
        <span>{t("slice", figures)}</span>
        <input
          type="range"
          min={0}
          max={view.slices - 1}
          value={slice}
          aria-valuetext={t("slice", figures)}
          onChange={(event) => go(event.target.valueAsNumber)}
        />
      </label>
      <button
        type="button"
        className="quiet"
        disabled={slice === view.slices - 1}
        onClick={() => go(slice + 1)}
      >
        {t(`after.${view.towards}`)}
      </button>
    </div>
  );
}

type ReadNumber = { value: number | null; reason: string };

/** The greys: steps, typed limits, and back to the suggestion. */
function Greys({ scan, look, onLook }: PartProps & { scan: Scan }) {
  const t = useSay("scan");
  const { window } = look;
  const greys = (lighter: number, harder: number) =>
    onLook({ ...look, window: withGreys(window, lighter, harder) });
  return (
    <Fold title={t("greys", { low: window.low, high: window.high })}>
      <div className="scan-row">
        <button type="button" className="quiet" onClick={() => greys(0.1, 0)}>
          {t("lighter")}
        </button>
        <button type="button" className="quiet" onClick={() => greys(-0.1, 0)}>
          {t("darker")}
        </button>
        <button type="button" className="quiet" onClick={() => greys(0, 0.1)}>
          {t("harder")}
        </button>
        <button type="button" className="quiet" onClick={() => greys(0, -0.1)}>
          {t("softer")}
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => onLook({ ...look, window: scan.picture.window })}
        >
          {t("suggested")}
        </button>
      </div>
      <div className="slice-limits">
        <Limit
          label={t("darkest")}
          value={window.low}
          set={(low) => onLook({ ...look, window: { ...window, low } })}
        />
        <Limit
          label={t("brightest")}
          value={window.high}
          set={(high) => onLook({ ...look, window: { ...window, high } })}
        />
      </div>
    </Fold>
  );
}

type LimitProps = { label: string; value: number; set: (value: number) => void };

/** A typed limit of the greys, read by the server's parser. */
function Limit({ label, value, set }: LimitProps) {
  const [sentence, setSentence] = useState<string | null>(null);
  const type = async (text: string) => {
    const body = { texts: [text] };
    const [read] = await write<ReadNumber[]>({ method: "POST", path: "/api/numbers", body });
    setSentence(read?.value == null ? (read?.reason ?? null) : null);
    if (read?.value != null) set(read.value);
  };
  return (
    <NumberField
      label={label}
      value={value}
      sentence={sentence === null ? null : <Told>{sentence}</Told>}
      onType={(text) => void type(text).catch((fault: Error) => setSentence(fault.message))}
    />
  );
}

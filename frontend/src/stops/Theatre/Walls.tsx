import { asTyped } from "../../api/records";
import { useSay } from "../../i18n/say";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import type { Recorded } from "./RecordPart";

/** Healthy tissue at each wall, measured on the specimen; an empty field is not recorded. */
export function Walls({ start, operation, record, refusals }: Recorded) {
  const t = useSay("theatre");
  const found = operation.clearances ?? [];
  const put = (wall: string, text: string) =>
    record(
      t("record.clearances"),
      (op) => {
        const others = (op.clearances ?? []).filter((each) => each.wall !== wall);
        const typed = { wall, clearance_mm: asTyped(text) };
        const all = text.trim() === "" ? others : [...others, typed];
        const inOrder = [...all].sort(
          (a, b) => start.walls.indexOf(a.wall) - start.walls.indexOf(b.wall),
        );
        return { ...op, clearances: inOrder.length > 0 ? inOrder : null };
      },
      `clearance ${wall}`,
    );
  return (
    <div className="record-fields">
      {start.walls.map((wall) => {
        const index = found.findIndex((each) => each.wall === wall);
        return (
          <NumberField
            key={wall}
            label={t("record.wall", { wall })}
            unit="mm"
            value={found[index]?.clearance_mm ?? null}
            sentence={said(refusals, ["operation", "clearances", index, "clearance_mm"])}
            onType={(text) => put(wall, text)}
          />
        );
      })}
    </div>
  );
}

import type { Side } from "../../api/records";
import { Choice } from "../../shell/Choice";
import { LEFT, RIGHT, useSideWord } from "../../shell/sides";

type SideChoiceProps = { label: string; value: Side | null; onChoose: (side: Side) => void };

/** A side of the patient, in full words. */
export function SideChoice({ label, value, onChoose }: SideChoiceProps) {
  const word = useSideWord();
  const options = [LEFT, RIGHT].map((side) => ({ value: side, word: word(side) }));
  return <Choice label={label} options={options} value={value} onChoose={onChoose} />;
}

import { type Say, useSay } from "../i18n/say";

type RichProps = {
  /** Key of the words, with its file in front if it is not shell: "closure:lower_end". */
  say: string;
  figures?: Parameters<Say>[1];
};

const BOLD = /<b>(.*?)<\/b>/;

/** Words in which <b> marks what matters. */
export function Rich({ say, figures }: RichProps) {
  const words = useSay()(say, figures);
  const parts = words.split(BOLD).map((part, i) => ({ part, isBold: i % 2 === 1 }));
  return parts.map(({ part, isBold }) => (isBold ? <b key={part}>{part}</b> : part));
}

import { useState } from "react";
import { write } from "../../api/client";
import { entrySentence, wholeSentence } from "../../api/entryFaults";
import { useMarking } from "../../api/queries";
import type { Marking, Revision, SignOff as SignOffRecord } from "../../api/records";
import { clock, day } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { useSideWord } from "../../shell/sides";
import { Tag } from "../../shell/Tag";
import { TextField } from "../../shell/TextField";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";

type SignOffProps = StopProps & {
  /** Code of the plans, and the letter of the chosen one: what the surgeon sees. */
  code: string;
  plan: string;
};

const ENTRIES = ["side", "label", "identifier"] as const;
const NOTHING = { side: "", label: "", identifier: "" };

/** The surgeon's word for the chosen plan: side and two identifiers, typed again. */
export function SignOff(props: SignOffProps) {
  const { revision, entered, plan, goTo } = props;
  const t = useSay("closure");
  const marking = useMarking(revision).data;
  if (!marking) return null;
  if (entered.operation) {
    return <PrimaryButton onPress={() => goTo("theatre")}>{t("sign.operated")}</PrimaryButton>;
  }
  if (marking.old) return <Old marking={marking} {...props} />;
  if (marking.signed?.plan !== plan) return <Form {...props} marking={marking} />;
  return (
    <>
      <Signed {...props} signed={marking.signed} />
      <PrimaryButton onPress={() => goTo("marking")}>{t("sign.on")}</PrimaryButton>
    </>
  );
}

function Form({ marking, ...props }: SignOffProps & { marking: Marking }) {
  const { revision, code, plan, saved, refresh, goTo } = props;
  const t = useSay("closure");
  const [typed, setTyped] = useState(NOTHING);
  const [fault, setFault] = useState<Error | null>(null);
  const sign = async () => {
    try {
      await saved();
      const path = `/api/cases/${revision.case_id}/sign`;
      await write<Revision>({ method: "POST", path, body: { ...typed, code, plan } });
      await refresh();
      goTo("marking");
    } catch (refused) {
      setFault(refused as Error);
    }
  };
  const whole = wholeSentence(fault);
  return (
    <>
      {marking.void ? <Void signed={marking.void} /> : null}
      <Note title={t("sign.title", { plan })}>
        <p className="small">{t("sign.lead")}</p>
        <form
          className="sign-off"
          onSubmit={(event) => {
            event.preventDefault();
            void sign();
          }}
        >
          {ENTRIES.map((entry) => (
            <TextField
              key={entry}
              label={t(`sign.${entry}`)}
              hint={entry === "side" ? t("sign.side_hint") : undefined}
              value={typed[entry]}
              sentence={entrySentence(fault, entry, "closure")}
              onType={(text) => setTyped({ ...typed, [entry]: text })}
            />
          ))}
          <button type="submit" className="unseen" tabIndex={-1}>
            {t("sign.do", { plan })}
          </button>
        </form>
        {whole ? (
          <p role="alert">
            <Told>{whole}</Told>
          </p>
        ) : null}
      </Note>
      <PrimaryButton onPress={() => void sign()} off={missing(typed) ? t("sign.missing") : null}>
        {t("sign.do", { plan })}
      </PrimaryButton>
    </>
  );
}

function missing(typed: typeof NOTHING): boolean {
  return ENTRIES.some((entry) => typed[entry].trim() === "");
}

/** Who signed what, and the way back. */
function Signed({ signed, revision, refresh }: SignOffProps & { signed: SignOffRecord }) {
  const t = useSay("closure");
  const side = useSideWord();
  const [sentence, setSentence] = useState("");
  const takeBack = () => {
    write<Revision>({ method: "DELETE", path: `/api/cases/${revision.case_id}/sign` })
      .then(refresh)
      .catch((fault: Error) => setSentence(fault.message));
  };
  return (
    <Note title={t("sign.signed", { plan: signed.plan })}>
      <p>
        {signed.flap_from ? t("sign.from", { side: side(signed.flap_from) }) : t("sign.no_side")}
      </p>
      <p className="small">{t("sign.when", whenOf(signed))}</p>
      <button type="button" className="quiet" onClick={takeBack}>
        {t("sign.take_back")}
      </button>
      {sentence ? (
        <p role="alert">
          <Told>{sentence}</Told>
        </p>
      ) : null}
    </Note>
  );
}

/** The case is another one than these plans were made for: nothing can be signed. */
function Old({ marking, goTo }: SignOffProps & { marking: Marking }) {
  const t = useSay("closure");
  return (
    <>
      {marking.void ? <Void signed={marking.void} /> : null}
      <Note>
        <Tag kind="old" />
        <p>{t("sign.old")}</p>
      </Note>
      <PrimaryButton onPress={() => goTo("disease")}>{t("sign.to_disease")}</PrimaryButton>
    </>
  );
}

/** A sign-off that was for something else. */
function Void({ signed }: { signed: SignOffRecord }) {
  const t = useSay("closure");
  return (
    <Note>
      <Tag kind="stop">{t("sign.void")}</Tag>
      <p>{t("sign.void_why", { ...whenOf(signed), plan: signed.plan, code: signed.code })}</p>
    </Note>
  );
}

/** Day and time of the clock on the wall. */
function whenOf({ at }: SignOffRecord): { day: string; time: string } {
  return { day: day(at.slice(0, 10)), time: clock(Date.parse(at)) };
}

import { type ReactNode, useEffect, useRef } from "react";
import type { Run } from "../api/useRun";
import { JobProgress } from "./JobProgress";
import { Note } from "./Note";
import { PrimaryButton } from "./PrimaryButton";
import { Told } from "./Told";

type RunButtonProps = {
  run: Run;
  /** Over what it is doing, and beside the button while it does. */
  running: string;
  /** Over the reason why nothing came of it. */
  failed: string;
  /** Why it is off; nothing: it is on. */
  off: ReactNode;
  onPress: () => void;
  children: ReactNode;
};

/** A next step that is long work: what it is doing stands above the road and can be stopped. */
export function RunButton({ run, running, failed, off, onPress, children }: RunButtonProps) {
  const { job, sentence } = run;
  return (
    <>
      {sentence ? <Failed key={sentence} title={failed} sentence={sentence} /> : null}
      {job ? (
        <Note title={running}>
          <JobProgress job={job} />
        </Note>
      ) : null}
      <PrimaryButton onPress={onPress} off={job ? running : off}>
        {children}
      </PrimaryButton>
    </>
  );
}

/** Why nothing came of it; it comes into sight, since the button stands far below a long sheet. */
function Failed({ title, sentence }: { title: string; sentence: string }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => place.current?.scrollIntoView({ block: "center" }), []);
  return (
    <div ref={place}>
      <Note title={title}>
        <p role="alert">
          <Told>{sentence}</Told>
        </p>
      </Note>
    </div>
  );
}

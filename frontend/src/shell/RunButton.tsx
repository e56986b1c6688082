import type { ReactNode } from "react";
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
      {sentence ? (
        <Note title={failed}>
          <p role="alert">
            <Told>{sentence}</Told>
          </p>
        </Note>
      ) : null}
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

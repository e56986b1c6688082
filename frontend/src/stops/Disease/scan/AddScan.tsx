import { useRef, useState } from "react";
import { UnreachableError } from "../../../api/client";
import { jobDone } from "../../../api/jobs";
import type { Job } from "../../../api/records";
import { useSay } from "../../../i18n/say";
import { toldText } from "../../../i18n/told";
import { Fold } from "../../../shell/Fold";
import { JobProgress } from "../../../shell/JobProgress";
import { Told } from "../../../shell/Told";
import type { StopProps } from "../../contract";
import {
  type Kept,
  type Series,
  type Skipped,
  sendAll,
  seriesOf,
  type Upload,
  withNames,
} from "./upload";

type State =
  | { step: "empty"; sentence: string; skipped: readonly Skipped[] }
  | { step: "sending"; upload: Upload }
  | { step: "choosing"; series: readonly Series[]; skipped: readonly Skipped[] }
  | { step: "reading"; job: Job | null };

const EMPTY: State = { step: "empty", sentence: "", skipped: [] };

/** A folder of DICOM files taken into the case: sent one by one, then read as one series. */
export function AddScan({ revision, saved, refresh }: StopProps) {
  const t = useSay("scan");
  const caseId = revision.case_id;
  const [state, setState] = useState<State>(EMPTY);
  const stop = useRef(new AbortController());

  const fail = (sentence: string, skipped: readonly Skipped[] = []) =>
    setState({ step: "empty", sentence, skipped });

  const send = async (files: readonly File[]) => {
    stop.current = new AbortController();
    const tell = (upload: Upload) => setState({ step: "sending", upload });
    tell({ total: files.length, kept: [], skipped: [] });
    try {
      const { kept, skipped } = await sendAll(caseId, files, tell, stop.current.signal);
      const series = seriesOf(kept);
      if (!series[0]) fail(t("add.none", { count: files.length }), skipped);
      else if (series.length > 1) setState({ step: "choosing", series, skipped });
      else await enter(series[0].files);
    } catch (fault) {
      const isStopped = stop.current.signal.aborted;
      fail(isStopped ? t("add.stopped") : sentenceOf(fault as Error, t("add.away")));
    }
  };

  const enter = async (files: readonly Kept[]) => {
    setState({ step: "reading", job: null });
    try {
      await saved();
      const body = { files: files.map((file) => file.sha256) };
      const last = await jobDone(`/api/cases/${caseId}/scan`, body, (job) =>
        setState({ step: "reading", job }),
      );
      if (last.state !== "done") return fail(withNames(toldText(last.reason), files));
      await refresh();
      setState(EMPTY);
    } catch (fault) {
      fail(sentenceOf(fault as Error, t("add.away")));
    }
  };

  if (state.step === "sending") {
    return <Sending upload={state.upload} stop={() => stop.current.abort()} />;
  }
  if (state.step === "reading") {
    const { job } = state;
    return (
      <div className="scan-field">
        <h3>{t("add.reading")}</h3>
        {job ? <JobProgress job={job} /> : null}
      </div>
    );
  }
  if (state.step === "choosing") {
    return <WhichSeries series={state.series} choose={enter} back={() => setState(EMPTY)} />;
  }
  return <Choose {...state} send={(files) => void send(files)} />;
}

type ChooseProps = {
  sentence: string;
  skipped: readonly Skipped[];
  send: (files: readonly File[]) => void;
};

/** The empty field: a folder or single files, and what went wrong the last time. */
function Choose({ sentence, skipped, send }: ChooseProps) {
  const t = useSay("scan");
  const [isOver, setOver] = useState(false);
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the two buttons inside do the same
    <div
      className={isOver ? "scan-field scan-field-over" : "scan-field"}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setOver(false);
        void dropped(event.dataTransfer).then((files) => files.length > 0 && send(files));
      }}
    >
      <p>{t("add.what")}</p>
      {sentence ? (
        <p role="alert" className="scan-refused">
          {sentence}
        </p>
      ) : null}
      <div className="scan-row">
        <FileButton isFolder send={send}>
          {t("add.folder")}
        </FileButton>
        <FileButton send={send}>{t("add.files")}</FileButton>
      </div>
      <SkippedFiles skipped={skipped} />
      <p className="small">{t("add.limits")}</p>
    </div>
  );
}

type FileButtonProps = {
  isFolder?: boolean;
  send: (files: readonly File[]) => void;
  children: string;
};

function FileButton({ isFolder = false, send, children }: FileButtonProps) {
  const ways = isFolder ? { webkitdirectory: "" } : {};
  return (
    <label className={isFolder ? "outlined scan-file" : "quiet scan-file"}>
      {children}
      <input
        type="file"
        multiple
        className="unseen"
        {...ways}
        onChange={(event) => {
          const files = [...(event.target.files ?? [])];
          event.target.value = "";
          if (files.length > 0) send(files);
        }}
      />
    </label>
  );
}

function Sending({ upload, stop }: { upload: Upload; stop: () => void }) {
  const t = useSay("scan");
  const done = upload.kept.length + upload.skipped.length;
  return (
    <div className="scan-field">
      <h3>{t("add.sending")}</h3>
      <p aria-live="polite">{t("add.sent", { done, total: upload.total })}</p>
      <progress max={upload.total} value={done} aria-label={t("add.sending")} />
      <button type="button" className="quiet" onClick={stop}>
        {t("shell:job.stop")}
      </button>
    </div>
  );
}

type WhichSeriesProps = {
  series: readonly Series[];
  choose: (files: readonly Kept[]) => void;
  back: () => void;
};

/** Several series were sent; the surgeon says which one is read. */
function WhichSeries({ series, choose, back }: WhichSeriesProps) {
  const t = useSay("scan");
  return (
    <div className="scan-field">
      <h3>{t("add.which", { count: series.length })}</h3>
      <ul className="scan-list">
        {series.map(({ uid, words, files }) => (
          <li key={uid}>
            <button type="button" className="quiet" onClick={() => choose(files)}>
              {t("add.series", { words, images: files.length })}
            </button>
          </li>
        ))}
      </ul>
      <button type="button" className="quiet" onClick={back}>
        {t("add.back")}
      </button>
    </div>
  );
}

function SkippedFiles({ skipped }: { skipped: readonly Skipped[] }) {
  const t = useSay("scan");
  if (skipped.length === 0) return null;
  return (
    <Fold title={t("add.skipped", { count: skipped.length })}>
      <ul className="scan-list">
        {skipped.slice(0, MOST_LISTED).map(({ name, sentence }) => (
          <li key={name}>
            {name}: <Told>{sentence}</Told>
          </li>
        ))}
      </ul>
    </Fold>
  );
}

const MOST_LISTED = 20;

function sentenceOf(fault: Error, away: string): string {
  return fault instanceof UnreachableError ? away : toldText(fault.message);
}

/** The files of what was dropped, with those of a dropped folder. */
async function dropped(transfer: DataTransfer): Promise<File[]> {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry());
  const files = await Promise.all(entries.map((entry) => (entry ? filesBelow(entry) : [])));
  return files.flat();
}

async function filesBelow(entry: FileSystemEntry): Promise<File[]> {
  if (entry.isFile) {
    const file = await new Promise<File>((resolve, reject) =>
      (entry as FileSystemFileEntry).file(resolve, reject),
    );
    return [file];
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const found: File[] = [];
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) =>
      reader.readEntries(resolve, reject),
    );
    if (some.length === 0) return found;
    found.push(...(await Promise.all(some.map(filesBelow))).flat());
  }
}

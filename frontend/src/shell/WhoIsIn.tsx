import { useState } from "react";
import { logOut } from "../api/session";
import { useSay } from "../i18n/say";
import { useWho } from "./rights";
import { Told } from "./Told";

/** In a department: whose session this is, and its end. */
export function WhoIsIn() {
  const t = useSay();
  const { mode, name } = useWho();
  const [sentence, setSentence] = useState("");
  if (mode === "laptop" || name === "") return null;
  const leave = () => void logOut().catch((fault: Error) => setSentence(fault.message));
  return (
    <span className="strip-account">
      <b>{name}</b>
      <button type="button" className="quiet" onClick={leave}>
        {t("log_in.leave")}
      </button>
      <span role="status">
        <Told>{sentence}</Told>
      </span>
    </span>
  );
}

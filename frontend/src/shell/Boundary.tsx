import { Component, type ReactNode } from "react";
import { words } from "../i18n";
import { toldText } from "../i18n/told";
import { Empty } from "./Empty";

type State = { sentence: string | null };

/** A part that fails leaves a blank and a reason; the rest of the page goes on. */
export class Boundary extends Component<{ children: ReactNode }, State> {
  override state: State = { sentence: null };

  static getDerivedStateFromError(fault: unknown): State {
    return { sentence: fault instanceof Error ? fault.message : String(fault) };
  }

  override render(): ReactNode {
    const { sentence } = this.state;
    if (sentence === null) return this.props.children;
    const again = (
      <button type="button" className="quiet" onClick={() => this.setState({ sentence: null })}>
        {words.t("try_again")}
      </button>
    );
    return <Empty action={again}>{words.t("broken", { sentence: toldText(sentence) })}</Empty>;
  }
}

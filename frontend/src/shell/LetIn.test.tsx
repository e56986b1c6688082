import { QueryClientProvider } from "@tanstack/react-query";
import { render, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { beforeEach, expect, it, vi } from "vitest";
import { read } from "../api/client";
import { queries } from "../api/queries";
import type { Session } from "../api/records";
import { LET_IN } from "../api/session";
import { speak } from "../i18n";
import { stubDevice } from "../testing/device";
import { LetIn } from "./LetIn";
import { PrimaryButton } from "./PrimaryButton";
import { NeededContext, WhoContext } from "./rights";

const NOBODY: Session = {
  mode: "department",
  name: "",
  may: [],
  locks_after: 5,
  locked_minutes: 15,
};
const READER: Session = { ...NOBODY, name: "m.example", may: ["read"] };

/** A server that lets in whoever knows the password, until the session is over. */
function server() {
  const state = { who: NOBODY };
  const answer = (status: number, body: unknown) =>
    new Response(JSON.stringify(body), { status, headers: { "Content-Type": "application/json" } });
  vi.stubGlobal("fetch", async (path: string, request: RequestInit) => {
    if (path !== "/api/session") return answer(state.who.name ? 200 : 401, { detail: "Log in." });
    if (request.method === "POST") {
      const typed = JSON.parse(String(request.body));
      if (typed.password !== "right") return answer(401, { detail: "Name or password is wrong." });
      state.who = READER;
    }
    return answer(200, state.who);
  });
  return state;
}

function Typing() {
  const [text, setText] = useState("");
  return <input aria-label="Note" value={text} onChange={(e) => setText(e.target.value)} />;
}

function open() {
  return render(
    <QueryClientProvider client={queries}>
      <LetIn>
        <Typing />
      </LetIn>
    </QueryClientProvider>,
  );
}

async function logIn(password: string) {
  await userEvent.type(await screen.findByLabelText("Name"), "m.example");
  await userEvent.type(screen.getByLabelText("Password"), password);
  await userEvent.click(screen.getByRole("button", { name: "Log in" }));
}

beforeEach(() => {
  speak("en");
  queries.clear();
  stubDevice();
});

it("shows nothing of the cases before somebody is logged in", async () => {
  server();
  open();
  await logIn("wrong");
  expect(await screen.findByText(/after 5 wrong passwords/)).toBeTruthy();
  expect(screen.queryByLabelText("Note")).toBeNull();
  await userEvent.type(screen.getByLabelText("Password"), "right");
  expect((screen.getByLabelText("Name") as HTMLInputElement).value).toBe("m.example");
});

it("keeps what was typed out of sight while the session is over, and brings it back", async () => {
  const state = server();
  open();
  await logIn("right");
  await userEvent.type(await screen.findByLabelText("Note"), "half a sentence");
  const heard = vi.fn();
  window.addEventListener(LET_IN, heard);
  state.who = NOBODY;
  await read("/api/cases").catch(() => undefined);
  await screen.findByText(/The session is over/);
  expect(screen.getByLabelText("Note").closest("[hidden]")).not.toBeNull();
  await logIn("right");
  await waitFor(() => expect(screen.getByLabelText("Note").closest("[hidden]")).toBeNull());
  expect((screen.getByLabelText("Note") as HTMLInputElement).value).toBe("half a sentence");
  expect(heard).toHaveBeenCalledOnce();
});

it("turns a button off that the account may not use, and says why", async () => {
  const onPress = vi.fn();
  render(
    <WhoContext.Provider value={READER}>
      <NeededContext.Provider value="plan">
        <PrimaryButton onPress={onPress}>Choose plan A</PrimaryButton>
      </NeededContext.Provider>
    </WhoContext.Provider>,
  );
  await userEvent.click(screen.getByRole("button"));
  expect(onPress).not.toHaveBeenCalled();
  screen.getByText("Your account may read. Changes here need the right to plan.");
});

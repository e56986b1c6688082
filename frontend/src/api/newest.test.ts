import { expect, it } from "vitest";
import { Newest } from "./newest";

/** A server that answers when it is told to. */
function held() {
  const asked: string[] = [];
  const doors: { open: () => void; shut: () => void }[] = [];
  const send = (question: string) =>
    new Promise<string>((resolve, reject) => {
      asked.push(question);
      doors.push({
        open: () => resolve(`answer to ${question}`),
        shut: () => reject(new Error(`no ${question}`)),
      });
    });
  const heard: string[] = [];
  const newest = new Newest<string, string>(send, {
    onAnswer: (answer) => heard.push(answer),
    onFault: (fault) => heard.push(fault.message),
  });
  return { newest, asked, doors, heard };
}

const soon = () => new Promise((resolve) => setTimeout(resolve));

it("has one question on its way and drops all but the newest", async () => {
  const { newest, asked, doors, heard } = held();
  for (const question of ["a", "b", "c", "d"]) newest.ask(question);
  expect(asked).toEqual(["a"]);
  doors[0]?.open();
  await soon();
  expect(asked).toEqual(["a", "d"]);
  doors[1]?.open();
  await soon();
  expect(heard).toEqual(["answer to a", "answer to d"]);
});

it("goes on after a refusal", async () => {
  const { newest, doors, heard } = held();
  newest.ask("a");
  newest.ask("b");
  doors[0]?.shut();
  await soon();
  doors[1]?.open();
  await soon();
  expect(heard).toEqual(["no a", "answer to b"]);
});

it("tells nothing any more once it is closed", async () => {
  const { newest, asked, doors, heard } = held();
  newest.ask("a");
  newest.ask("b");
  newest.close();
  doors[0]?.open();
  await soon();
  expect([asked, heard]).toEqual([["a"], []]);
});

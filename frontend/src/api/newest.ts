/** Questions of which only the newest matters: one is on its way, the newest waits, others go. */

export type Answered<Question, Answer> = {
  onAnswer: (answer: Answer, question: Question) => void;
  onFault: (fault: Error, question: Question) => void;
};

export class Newest<Question, Answer> {
  private readonly send: (question: Question) => Promise<Answer>;
  private readonly told: Answered<Question, Answer>;
  private waiting: Question | null = null;
  private busy = false;
  private closed = false;

  constructor(send: (question: Question) => Promise<Answer>, told: Answered<Question, Answer>) {
    this.send = send;
    this.told = told;
  }

  /** Ask; a question that still waits is dropped for this one. */
  ask(question: Question): void {
    this.waiting = question;
    if (!this.busy) void this.run();
  }

  /** Hear the answers, after a `close` too. */
  open(): void {
    this.closed = false;
  }

  /** Hear no more answers. */
  close(): void {
    this.closed = true;
    this.waiting = null;
  }

  private async run(): Promise<void> {
    this.busy = true;
    while (this.waiting !== null) {
      const question = this.waiting;
      this.waiting = null;
      try {
        const answer = await this.send(question);
        if (!this.closed) this.told.onAnswer(answer, question);
      } catch (fault) {
        if (!this.closed) this.told.onFault(fault as Error, question);
      }
    }
    this.busy = false;
  }
}

// Many calls at the same moment, few statements: while one is on its way to the database, what arrives meanwhile waits together
// and goes as the next. Alone, a call goes at once and waits for nobody. A round trip and a commit cost more than the rows in them.

export interface GatherLimits {
  /** statements on their way at once */
  readonly width: number;
  /** the most inputs in one statement */
  readonly most: number;
}

interface Waiting<In, Out> {
  readonly input: In;
  readonly done: (output: Out) => void;
  readonly failed: (error: unknown) => void;
}

/**
 * Makes a function of one input out of `run`, which answers many inputs in their order. Where a statement for several fails, each
 * is tried alone, so that nobody fails for another's sake.
 */
export function gather<In, Out>(
  run: (inputs: readonly In[]) => Promise<readonly Out[]>,
  { width, most }: GatherLimits,
): (input: In) => Promise<Out> {
  const queue: Waiting<In, Out>[] = [];
  let running = 0;

  const alone = async ({ input, done, failed }: Waiting<In, Out>): Promise<void> => {
    try {
      done((await run([input]))[0] as Out);
    } catch (error) {
      failed(error);
    }
  };

  const together = async (batch: readonly Waiting<In, Out>[]): Promise<void> => {
    const [only] = batch;
    if (batch.length === 1 && only) return alone(only);
    let outputs: readonly Out[];
    try {
      outputs = await run(batch.map((one) => one.input));
    } catch {
      for (const one of batch) await alone(one);
      return;
    }
    batch.forEach((one, index) => {
      one.done(outputs[index] as Out);
    });
  };

  const next = (): void => {
    if (running >= width || queue.length === 0) return;
    running += 1;
    void together(queue.splice(0, most)).finally(() => {
      running -= 1;
      next();
    });
  };

  return (input) =>
    new Promise<Out>((done, failed) => {
      queue.push({ input, done, failed });
      next();
    });
}

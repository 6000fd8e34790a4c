// Few statements for many calls at the same moment: while one statement is on its way to the database, the calls that arrive wait and go together
// as the next one. A single call goes at once. A round trip and a commit cost more than the rows in them.
import { platformErrors, tryAgain } from "../errors.ts";

export interface BatchLimits {
  /** statements on their way at once */
  readonly width: number;
  /** the most inputs in one statement */
  readonly most: number;
  /** the most inputs that may wait; further calls are refused and told to try again */
  readonly mostWaiting: number;
  /**
   * Whether the failure of a statement for several inputs may be the fault of only one of them and stored nothing: then each is tried alone, so
   * that none fails because of another. Without this function all of them fail, since a statement whose outcome is unknown is never repeated.
   */
  readonly triedAlone?: (error: unknown) => boolean;
}

interface Waiting<In, Out> {
  readonly input: In;
  readonly done: (output: Out) => void;
  readonly failed: (error: unknown) => void;
}

/** The answer when more calls wait than can be handled soon. */
export const tooManyWaiting = () =>
  platformErrors.problem("not-ready", "Too many calls wait for the same. Nothing was stored. Send it again in a moment.", {
    headers: tryAgain,
  });

/** Makes a function of one input out of `run`, which answers many inputs in their order. Throws `not-ready` where too many wait. */
export function batch<In, Out>(
  run: (inputs: readonly In[]) => Promise<readonly Out[]>,
  { width, most, mostWaiting, triedAlone = () => false }: BatchLimits,
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
    } catch (error) {
      if (triedAlone(error)) for (const one of batch) await alone(one);
      else for (const one of batch) one.failed(error);
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
      if (running >= width && queue.length >= mostWaiting) return failed(tooManyWaiting());
      queue.push({ input, done, failed });
      next();
    });
}

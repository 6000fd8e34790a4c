/** Does something the first time it is asked for, whoever asks first: how tests share what happened without hanging on their order. */
export function once<T>(act: () => Promise<T>): () => Promise<T> {
  let done: Promise<T> | null = null;
  return () => {
    done ??= act();
    return done;
  };
}

/** From one withdrawal to the return after it; `to` null: the machine still is withdrawn. */
export interface WithdrawnSpan<At> {
  readonly from: At;
  readonly to: At | null;
}

/** When a machine was withdrawn, from the entries of its chain in their order; other kinds of entries are passed over. */
export function withdrawnSpans<At>(entries: readonly { readonly kind: string; readonly at: At }[]): WithdrawnSpan<At>[] {
  const spans: WithdrawnSpan<At>[] = [];
  for (const { kind, at } of entries) {
    if (kind === "machine-withdrawn") spans.push({ from: at, to: null });
    else if (kind === "machine-returned") {
      const last = spans.pop();
      if (last) spans.push({ ...last, to: at });
    }
  }
  return spans;
}

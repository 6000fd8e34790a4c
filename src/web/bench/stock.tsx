// What lies on a depot's shelf, where the firm counts it: a mechanic or a manager counts a part, or says that some came.
import { useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Part, Stock } from "../../../shared/contracts/parts.ts";
import { useAct } from "../frame/act.ts";
import { call, callAll } from "../frame/call.ts";
import { Choice, Pick, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { say, sayMoment, sayNumber } from "../frame/words.ts";

interface Found {
  readonly items: readonly Part[];
  readonly nextCursor: string | null;
}

export function StockPage() {
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", 1000, signal), []);
  const [chosen, choose] = useState<string | null>(null);
  const depotId = chosen ?? depots.value?.[0]?.id ?? null;
  return (
    <div class="bench">
      <p>
        <a href={to("bench")}>{say("bench.title")}</a>
      </p>
      <h1>{say("stock.title")}</h1>
      <p>{say("stock.lead")}</p>
      <Trouble error={depots.error} again={depots.reload} />
      {(depots.value?.length ?? 0) > 1 && (
        <Pick
          label={say("page.depot")}
          value={depotId ?? ""}
          options={(depots.value ?? []).map(({ id, name }) => ({ value: id, text: name }))}
          onChange={choose}
        />
      )}
      {depotId !== null && <Shelf key={depotId} depotId={depotId} />}
    </div>
  );
}

function Shelf({ depotId }: { depotId: string }) {
  const [search, setSearch] = useState("");
  const [number, choose] = useState<string | null>(null);
  const query = new URLSearchParams({ depotId, limit: "200", ...(search.trim() !== "" && { search: search.trim() }) });
  const list = useLoaded((signal) => call<Found>(`/v1/parts?${query.toString()}`, { signal }), [query.toString()]);
  const part = list.value?.items.find((one) => one.number === number);
  return (
    <>
      <label class="find-mark">
        <span>{say("parts.search")}</span>
        <input type="search" value={search} maxLength={limits.partName} onInput={({ currentTarget: { value } }) => setSearch(value)} />
      </label>
      <Trouble error={list.error} again={list.reload} />
      {list.value === null && list.loading && <Waiting />}
      {list.value?.items.length === 0 && <p>{say(search.trim() === "" ? "parts.none" : "parts.none-found")}</p>}
      {part && <RecordStock key={part.number} part={part} depotId={depotId} onDone={list.reload} />}
      <ul class="list jobs">
        {list.value?.items.map((one) => (
          <li key={one.number} class="job">
            <p class="mono">{one.number}</p>
            <div>
              <p>
                <strong dir="auto">{one.name}</strong>
              </p>
              <p>{sayStock(one.stock ?? null)}</p>
            </div>
            <button type="button" aria-label={`${say("stock.count")}: ${one.number}`} onClick={() => choose(one.number)}>
              {say("stock.count")}
            </button>
          </li>
        ))}
      </ul>
      {list.value && list.value.nextCursor !== null && <p class="small">{say("parts.more")}</p>}
    </>
  );
}

/** As many decimals as people write of a quantity. */
const sayMany = (quantity: number): string => sayNumber(quantity, 3);

function sayStock(stock: Stock | null): string {
  if (stock === null) return say("stock.never");
  const { onHand, counted, received, fitted } = stock;
  const since = {
    counted: sayMany(counted.quantity),
    at: sayMoment(counted.at),
    received: sayMany(received),
    fitted: sayMany(fitted),
  };
  return `${say(onHand < 0 ? "stock.again" : "stock.lies", { onHand: sayMany(onHand) })} ${say("stock.since", since)}`;
}

/** A quantity as somebody types it; null where it is none. */
const quantityIn = (text: string): number | null =>
  /^\d{1,6}([.,]\d{1,3})?$/.test(text.trim()) ? Number(text.trim().replace(",", ".")) : null;

function RecordStock({ part, depotId, onDone }: { part: Part; depotId: string; onDone: () => void }) {
  const [how, setHow] = useState<"counted" | "received">("counted");
  const [text, setText] = useState("");
  const sent = useAct<Part>(() => {
    setText("");
    onDone();
  });
  const quantity = quantityIn(text);
  const fits = quantity !== null && quantity <= limits.stockQuantity && (how === "counted" || quantity > 0);
  const submit = (event: Event) => {
    event.preventDefault();
    if (fits) void sent.send(`/v1/parts/${encodeURIComponent(part.number)}/stock`, { depotId, how, quantity }, "at");
  };
  return (
    <form class="paper-form" onSubmit={submit}>
      <h2>
        <span class="mono">{part.number}</span> <bdi>{part.name}</bdi>
      </h2>
      <Choice
        label={say("stock.how")}
        value={how}
        options={(["counted", "received"] as const).map((value) => ({ value, text: say(`stock.how.${value}`) }))}
        onChange={setHow}
      />
      <label class="short">
        <span>{say("stock.quantity")}</span>
        <input
          required
          inputMode="decimal"
          aria-invalid={text.trim() !== "" && !fits}
          value={text}
          onInput={({ currentTarget: { value } }) => setText(value)}
        />
      </label>
      {text.trim() !== "" && !fits && <p class="notice">{say("stock.not-a-quantity")}</p>}
      <Trouble error={sent.error} />
      <button type="submit" class="main" disabled={sent.busy || !fits}>
        {say("stock.do")}
      </button>
      <div role="status">{sent.receipt?.stock && <p>{say("stock.done", { onHand: sayMany(sent.receipt.stock.onHand) })}</p>}</div>
    </form>
  );
}

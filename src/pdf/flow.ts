// Where the next block goes: page breaks, what stays together, and how much space there is between blocks.

/** Keeps track of the position on the page; the pen, which draws, extends it. */
export abstract class Flow {
  /** Where the next block begins, in points from the top of the page. */
  y = 0;
  abstract readonly bottom: number;
  /** How much a whole page holds. */
  abstract readonly fullHeight: number;
  protected abstract readonly top: number;
  /** Nothing is drawn: it is only being found out where everything would go. */
  protected isTrial = false;
  private pages = 1;
  private air = 1;
  private keptPt = 0;
  private readonly held: { readonly heightPt: number; readonly draw: () => void }[] = [];

  /** Draws head and foot of a new page, after letting other work of the process have its turn. */
  protected abstract beginPage(): Promise<void>;

  get room(): number {
    return this.bottom - this.y;
  }

  get isAtTop(): boolean {
    return this.y <= this.top + 0.5;
  }

  /** The space before or after a block: less of it if that saves a page. */
  gap(points: number): number {
    return points * this.air;
  }

  /** Keeps a heading until the block under it says how much room it needs to begin: a heading never stands alone at the foot of a page. */
  hold(heightPt: number, draw: () => void): void {
    this.held.push({ heightPt, draw });
  }

  /** From now on, the last piece of a block has to leave this many points under it on the same page. */
  keep(points: number): void {
    this.keptPt = points;
  }

  /** Begins a new page if fewer than `points` are left, then draws what was held. Returns whether it began one. */
  async need(points: number): Promise<boolean> {
    const held = this.held.splice(0);
    const all = held.reduce((sum, { heightPt }) => sum + heightPt, points);
    // What needs no room begins no page either, though the space under a last table may reach past the foot.
    const turns = all > 0 && this.room < all && !this.isAtTop;
    if (turns) await this.turnPage();
    for (const { draw } of held) draw();
    return turns;
  }

  /** What the last piece of a block needs, together with what is kept with it: a place to sign never has a page to itself. */
  withKept(points: number): number {
    const all = points + this.keptPt;
    return all > this.fullHeight ? points : all;
  }

  needLast(points: number): Promise<boolean> {
    return this.need(this.withKept(points));
  }

  async turnPage(): Promise<void> {
    this.pages += 1;
    if (this.isTrial) this.y = this.top;
    else await this.beginPage();
  }

  /**
   * Chooses how much space there is between these blocks: if the last page would hold little, less space may save it. Calls `draw` several
   * times without drawing anything.
   */
  async fit(draw: () => Promise<void>): Promise<void> {
    const usual = await this.tried(1, draw);
    if (usual.pages === 1 || usual.pages > mostFitted || usual.filledPt > shareGained * this.fullHeight) return;
    for (const air of lessAir) if ((await this.tried(air, draw)).pages < usual.pages) return;
    this.air = 1;
  }

  private async tried(air: number, draw: () => Promise<void>): Promise<{ readonly pages: number; readonly filledPt: number }> {
    this.isTrial = true;
    this.air = air;
    await draw();
    await this.need(0);
    const found = { pages: this.pages, filledPt: this.y - this.top };
    this.isTrial = false;
    this.keptPt = 0;
    this.pages = 1;
    this.y = this.top;
    return found;
  }
}

/** Tried one after another; with less, blocks run into each other. */
const lessAir = [0.75, 0.5, 0.3];
/** A last page fuller than this cannot be saved by less air. */
const shareGained = 0.35;
/** Saving a page is tried only for reports of at most this many pages. */
const mostFitted = 8;

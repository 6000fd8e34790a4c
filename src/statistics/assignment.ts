// The assignment problem: rows to columns, each at most once, at the least cost.

/**
 * For each row the column that it takes, so that the sum of costs is the least possible. Every row takes one, so there have to be at
 * least as many columns as rows. `costs` holds row after row, whole numbers from 0.
 *
 * The Hungarian method by shortest augmenting paths with potentials (Kuhn 1955; Jonker and Volgenant 1987): one row after the other
 * looks for the cheapest way to a free column, along which earlier rows move over. Potentials keep all reduced costs from falling below
 * zero, so that each search is Dijkstra's. Time is rows^2 x columns at worst. Throws a RangeError for more rows than columns.
 */
export function assign(costs: ArrayLike<number>, rows: number, columns: number): Int32Array {
  if (rows > columns) throw new RangeError("more rows than columns");
  const rowPotential = new Float64Array(rows);
  const columnPotential = new Float64Array(columns);
  const rowOf = new Int32Array(columns).fill(-1);
  const columnOf = new Int32Array(rows).fill(-1);
  const distance = new Float64Array(columns);
  const cameFrom = new Int32Array(columns);
  const open = new Int32Array(columns);

  for (let start = 0; start < rows; start += 1) {
    for (let column = 0; column < columns; column += 1) open[column] = column;
    distance.fill(Number.POSITIVE_INFINITY);
    let openCount = columns;
    let row = start;
    let reached = 0;
    let end = -1;
    while (end === -1) {
      const base = row * columns;
      const offset = reached - at(rowPotential, row);
      let nearest = Number.POSITIVE_INFINITY;
      let nearestPlace = -1;
      for (let place = 0; place < openCount; place += 1) {
        const column = at(open, place);
        const through = offset + at(costs, base + column) - at(columnPotential, column);
        if (through < at(distance, column)) {
          distance[column] = through;
          cameFrom[column] = row;
        }
        const far = at(distance, column);
        // Of equally cheap ways, one that ends at a free column is preferred, because it ends the search.
        if (far < nearest || (far === nearest && at(rowOf, column) === -1)) {
          nearest = far;
          nearestPlace = place;
        }
      }
      const column = at(open, nearestPlace);
      openCount -= 1;
      open[nearestPlace] = at(open, openCount);
      open[openCount] = column;
      reached = nearest;
      if (at(rowOf, column) === -1) end = column;
      else row = at(rowOf, column);
    }
    // Columns settled in this search, the last one included, stand behind openCount.
    for (let place = openCount; place < columns; place += 1) {
      const column = at(open, place);
      const gained = reached - at(distance, column);
      const held = at(rowOf, column);
      columnPotential[column] = at(columnPotential, column) - gained;
      if (held !== -1) rowPotential[held] = at(rowPotential, held) + gained;
    }
    rowPotential[start] = at(rowPotential, start) + reached;
    for (let column = end; ; ) {
      const from = at(cameFrom, column);
      const before = at(columnOf, from);
      rowOf[column] = from;
      columnOf[from] = column;
      if (from === start) break;
      column = before;
    }
  }
  return columnOf;
}

/** Indices here are always inside. */
const at = (list: ArrayLike<number>, index: number): number => list[index] as number;

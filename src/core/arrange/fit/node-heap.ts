/** The nearest node first: a binary heap of distances in flat columns, kept from search to search. */
export class NodeHeap {
  #distance = new Float64Array(1024);
  #node = new Uint32Array(1024);
  size = 0;

  /** Distance of the node that `take` will hand out; only where `size` > 0. */
  get nearest(): number {
    return this.#distance[0]!;
  }

  clear(): void {
    this.size = 0;
  }

  add(distance: number, node: number): void {
    if (this.size === this.#node.length) this.#grow();
    const distances = this.#distance;
    const nodes = this.#node;
    let at = this.size++;
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (distances[parent]! <= distance) break;
      distances[at] = distances[parent]!;
      nodes[at] = nodes[parent]!;
      at = parent;
    }
    distances[at] = distance;
    nodes[at] = node;
  }

  take(): number {
    const distances = this.#distance;
    const nodes = this.#node;
    const taken = nodes[0]!;
    const size = --this.size;
    const distance = distances[size]!;
    const node = nodes[size]!;
    let at = 0;
    for (let child = 1; child < size; child = 2 * at + 1) {
      if (child + 1 < size && distances[child + 1]! < distances[child]!) child += 1;
      if (distances[child]! >= distance) break;
      distances[at] = distances[child]!;
      nodes[at] = nodes[child]!;
      at = child;
    }
    distances[at] = distance;
    nodes[at] = node;
    return taken;
  }

  #grow(): void {
    const distance = new Float64Array(this.#node.length * 2);
    const node = new Uint32Array(distance.length);
    distance.set(this.#distance);
    node.set(this.#node);
    this.#distance = distance;
    this.#node = node;
  }
}

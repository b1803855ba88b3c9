import type { BytePage } from './byte-page.ts';

/**
 * Where the terminal's cursor is, and the shortest way to another cell (ECMA-48: CUP, CUU, CUD, CUF, CUB, CR,
 * LF, BS). `x` is −1 while the place is unknown. LF is sent only after CR, so that it does not matter whether
 * the terminal driver adds one, and never from the last row, so that nothing scrolls.
 */
export class CursorMoves {
  x = -1;
  y = -1;

  readonly #page: BytePage;

  constructor(page: BytePage) {
    this.#page = page;
  }

  set(x: number, y: number): void {
    this.x = x;
    this.y = y;
  }

  lose(): void {
    this.x = -1;
  }

  to(x: number, y: number): void {
    if (x === this.x && y === this.y) return;
    if (this.x < 0 || !this.#relative(x, y)) this.#absolute(x, y);
    this.set(x, y);
  }

  #absolute(x: number, y: number): void {
    this.#page.ascii('\u001b[');
    if (y > 0) this.#page.decimal(y + 1);
    if (x > 0) {
      this.#page.byte(SEMICOLON);
      this.#page.decimal(x + 1);
    }
    this.#page.byte(LETTER.cup);
  }

  /** False where an absolute move is as short. */
  #relative(x: number, y: number): boolean {
    const right = x - this.x;
    const down = y - this.y;
    if (down === 0) {
      if (x === 0) this.#page.byte(CARRIAGE_RETURN);
      else if (right > 0) this.#step(right, LETTER.cuf);
      else if (right >= -MOST_BACKSPACES) this.#repeat(BACKSPACE, -right);
      else this.#step(-right, LETTER.cub);
      return true;
    }
    if (x === 0 && down > 0 && down <= MOST_LINE_FEEDS) {
      this.#page.byte(CARRIAGE_RETURN);
      this.#repeat(LINE_FEED, down);
      return true;
    }
    if (right !== 0) return false;
    if (down > 0) this.#step(down, LETTER.cud);
    else this.#step(-down, LETTER.cuu);
    return true;
  }

  #step(count: number, letter: number): void {
    this.#page.ascii('\u001b[');
    if (count > 1) this.#page.decimal(count);
    this.#page.byte(letter);
  }

  #repeat(byte: number, count: number): void {
    for (let done = 0; done < count; done += 1) this.#page.byte(byte);
  }
}

const BACKSPACE = 0x08;
const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;
const SEMICOLON = 0x3b;
const LETTER = { cuu: 0x41, cud: 0x42, cuf: 0x43, cub: 0x44, cup: 0x48 } as const;
const MOST_BACKSPACES = 3;
const MOST_LINE_FEEDS = 3;

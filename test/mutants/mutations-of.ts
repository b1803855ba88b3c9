import { parseAst } from 'vitest/node';

/** An expression or a statement of a source text. */
export interface Site {
  readonly start: number;
  readonly end: number;
  readonly isStatement: boolean;
}

/** One small change of a source text: what stands from `start` to `end` becomes `text`. */
export interface Mutation {
  readonly start: number;
  readonly end: number;
  readonly text: string;
  readonly line: number;
  /** For people, and for the list of equivalents: `a < b → a <= b`, spaces made one. */
  readonly words: string;
  /** What is evaluated or run where the change tells. */
  readonly site: Site;
}

interface Node {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly [key: string]: unknown;
}

/** What stands where an operator stood. One change each: the nearest that a slip of the pen would make. */
const OPERATORS: Record<string, string> = {
  '+': '-',
  '-': '+',
  '*': '/',
  '/': '*',
  '%': '*',
  '<': '<=',
  '<=': '<',
  '>': '>=',
  '>=': '>',
  '===': '!==',
  '!==': '===',
  '<<': '>>',
  '>>': '<<',
  '>>>': '<<',
  '&': '|',
  '|': '&',
  '^': '&',
  '&&': '||',
  '||': '&&',
  '??': '&&',
  '+=': '-=',
  '-=': '+=',
  '*=': '/=',
  '/=': '*=',
  '|=': '&=',
  '&=': '|=',
  '||=': '&&=',
  '&&=': '||=',
  '??=': '&&=',
  '<<=': '>>=',
  '>>=': '<<=',
  '++': '--',
  '--': '++',
};

/**
 * Every mutation of a TypeScript source: operators, conditions held true and held false, numbers one more (1 becomes
 * 0), truth turned round, statements left out. Types, imports and texts are left alone: the compiler reads the
 * first two, and no machine can tell whether a sentence is right.
 */
export function mutationsOf(source: string, isTsx: boolean): Mutation[] {
  const found: Mutation[] = [];
  const lineStarts = [0, ...[...source.matchAll(/\n/g)].map(({ index }) => index + 1)];
  const change = (
    node: { start: number; end: number },
    text: string,
    context: Node,
    { type, start, end } = context,
  ): void => {
    const before = source.slice(context.start, node.start);
    const after = source.slice(node.end, context.end);
    const original = source.slice(context.start, context.end);
    const words = short(`${original} → ${before}${text}${after}`);
    const line = lineStarts.findLastIndex((start) => start <= node.start) + 1;
    const site = { start, end, isStatement: type.endsWith('Statement') };
    found.push({ start: node.start, end: node.end, text, line, words, site });
  };
  const operator = (node: Node, from: Node | undefined, to: Node): void => {
    const text = OPERATORS[node.operator as string];
    if (text === undefined) return;
    const start = source.indexOf(node.operator as string, from?.end ?? node.start);
    if (start < 0 || start > to.start + (from === undefined ? 0 : to.end)) return;
    change({ start, end: start + (node.operator as string).length }, text, node);
  };
  const end = (node: Node, test: Node): void => change(test, 'false', { ...node, end: test.end }, test);
  const condition = (node: Node, test: Node): void => {
    const head = { ...node, end: test.end } as Node;
    change(test, 'true', head, test);
    change(test, 'false', head, test);
  };

  const visit = (node: Node, parent: Node = node): void => {
    if (node.type.startsWith('TS') && !WITH_VALUES.has(node.type)) return;
    switch (node.type) {
      case 'ImportDeclaration':
      case 'ExportAllDeclaration':
        return;
      case 'BinaryExpression':
      case 'LogicalExpression':
      case 'AssignmentExpression':
        operator(node, node.left as Node, node.right as Node);
        break;
      case 'UpdateExpression':
        if (node.prefix) operator(node, undefined, node.argument as Node);
        else operator(node, node.argument as Node, node);
        break;
      case 'UnaryExpression':
        if (node.operator === '!' || node.operator === '-' || node.operator === '~') {
          change({ start: node.start, end: node.start + 1 }, '', node);
        }
        break;
      case 'IfStatement':
      case 'ConditionalExpression':
        condition(node, node.test as Node);
        break;
      case 'WhileStatement':
        end(node, node.test as Node);
        break;
      case 'ForStatement':
        if (node.test) end(node, node.test as Node);
        break;
      case 'Literal':
        if (parent.type === 'Property' && parent.key === node) break;
        // Alone it would not say which of a file's zeros it is.
        if (typeof node.value === 'number')
          change(node, node.value === 1 ? '0' : `(${node.raw} + 1)`, parent, node);
        if (typeof node.value === 'boolean') change(node, String(!node.value), parent, node);
        break;
      case 'ExpressionStatement':
        if (!('directive' in node && node.directive) && !isSuper(node.expression as Node))
          change(node, ';', node);
        break;
      case 'ContinueStatement':
      case 'BreakStatement':
        change(node, ';', whereItStands(node, parent), node);
        break;
      case 'ReturnStatement':
        if (!node.argument) change(node, ';', whereItStands(node, parent), node);
        break;
    }
    for (const [key, value] of Object.entries(node)) {
      if (SKIPPED.has(key)) continue;
      for (const child of Array.isArray(value) ? value : [value]) {
        if (child !== null && typeof child === 'object' && typeof child.type === 'string') visit(child, node);
      }
    }
  };
  visit(parseAst(source, { lang: isTsx ? 'tsx' : 'ts' }) as unknown as Node);
  return found.sort((a, b) => a.start - b.start || a.text.localeCompare(b.text));
}

/** Nodes of TypeScript that hold values. */
const WITH_VALUES = new Set([
  'TSAsExpression',
  'TSNonNullExpression',
  'TSSatisfiesExpression',
  'TSParameterProperty',
]);
const SKIPPED = new Set(['typeAnnotation', 'typeArguments', 'typeParameters', 'returnType', 'parent', 'loc']);

/** Alone such a statement would not say which of a file's it is. */
function whereItStands(node: Node, parent: Node): Node {
  return parent.type === 'IfStatement' || parent.type === 'SwitchCase' ? parent : node;
}

function isSuper(node: Node): boolean {
  return node.type === 'CallExpression' && (node.callee as Node).type === 'Super';
}

function short(text: string): string {
  const one = text.replace(/\s+/g, ' ').trim();
  return one.length <= 160 ? one : `${one.slice(0, 78)} … ${one.slice(-78)}`;
}

/** `stuck-after` → `stuckAfter`, `no-setup-first` → `setupFirst`: as commander names an option's value. */
export function attributeOf(name: string): string {
  return name.replace(/^no-/, '').replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
}

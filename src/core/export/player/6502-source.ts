// Length: the source of one program, an instruction a line.
import type { PlayerBit, PlayerMachine } from './player-machine.ts';

/**
 * The 6502 player, as source. Every path between two bytes is padded to whole units of 8 cycles and adds what it costs
 * to X; `6502-paths.ts` is the same table for the packer. Instruction times are the processor's published ones (from
 * memory), and an emulator confirms each path in the tests. No branch crosses a page: `place6502` sees to that.
 *
 * X units since the last byte (or since a rest), Y low byte of the source, whose high byte is at ZPSRC + 1 while ZPSRC
 * is 0. ZPGRID units from there to the grid step, negative behind it. ZPGO units at which the next byte may leave. ZPPART what the
 * grid is ahead in parts of a unit.
 * ZPLEFT symbols left at this level, ZPDEPTH references open; docs/stream.md tells what the symbols mean.
 *
 * Names in capitals are put in when the player is made for a board and a song. Page 0 is given back as it was found.
 */
export function source6502({
  ready,
  stop,
  repeat,
}: Pick<PlayerMachine, 'ready' | 'stop' | 'repeat'>): string {
  return `
start:  php
        sei
        cld
        ldx #ZPLAST
save:   lda ZPSRC,x
        pha
        lda #0
        sta ZPSRC,x
        dex
        bpl save
        tsx
        stx saved+1
        tax
        lda #SLOT
        sta ZPGO
        sta ZPGRID
${stop === undefined ? '' : armed(stop)}again:  ldy #STREAM_LOW
        lda #STREAM_HIGH
begin:  sta ZPSRC+1
        jmp fetch
; block
next:   lda (ZPSRC),y
        iny
        bne next1
        inc ZPSRC+1
        inx
        nop             ; a page further: one unit more
next1:  rts             ; 22 with the call
; block
less:   stx ZPT
        lda ZPGRID
        sbc ZPT
        sta ZPGRID
        lda ZPGRID+1
        sbc #0
        sta ZPGRID+1
        rts             ; 32 with the call
; block
top:    inx
        inx
        pha
        pla             ; 16 more
fetch:  jsr next
        cmp #$80
        bcs code        ; 26
send:${ready === undefined ? '' : '   pha\n        '}   cpx ZPGO
        bcs emit
spin:   inx
        cpx ZPGO
        bcc spin        ; 8 each
        nop
${ready === undefined ? 'emit:' : polled(ready)}   sta OUT
        jsr less
        lda #SLOT
        sta ZPGO
        ldx #PLAIN
        nop
${ready === undefined ? '        bit ZPT\n' : '        nop\n        nop\n'}step:   dec ZPLEFT
        bne fetch       ; 88 from byte to byte, 104 where a ready bit is asked
        lda ZPDEPTH
        beq top
        dec ZPDEPTH
        pla
        sta ZPSRC+1
        pla
        tay
        pla
        sta ZPLEFT
        txa
        clc
        adc #6
        tax
        jmp step        ; 48
code:   cmp #STATUS
        bcc low
        cmp #REF
        bcs code1
        sbc #STATUS_LESS
        sty ZPT
        tay
        lda STATUSES,y
        ldy ZPT
        inx
        inx
        inx
        inx
        inx
        nop
        nop
        bcs send        ; 40 more; nothing was borrowed
code1:  jmp ref
low:    cmp #PAIR
        bcc low1
        sbc #PAIR
        asl a
        adc #PAIRS_LOW
        sta ZPU
        lda #2
        sta ZPT
        dex
        dex
        dex
        dex
        bit ZPT
        lda #PAIRS_HIGH
        jmp enter       ; 120
low1:   jmp wait
${ready === undefined ? '' : BUSY}; block
ref:    cmp #NEAR
        bcc far
        sta ZPV
        ror ZPV         ; the carry is set, and comes in: the high byte of how far it is
        lda #1
        rol a           ; two or three
        sta ZPT
        jsr next
        sty ZPU
        adc ZPU
        sta ZPU
        lda ZPV
        adc ZPSRC+1
        bne enter       ; 152
far:    cmp #LONG
        beq longer
        sbc #REF_LESS
long1:  sta ZPT
        jsr next
        sta ZPU
        jsr next
        inx
        nop
        nop             ; 160
enter:  sta ZPV
        inc ZPDEPTH
        lda ZPLEFT
        pha
        tya
        pha
        lda ZPSRC+1
        pha
        lda ZPV
        sta ZPSRC+1
        lda ZPT
        sta ZPLEFT
        ldy ZPU
        txa
        clc
        adc #19
        tax
        bit ZPT
        jmp fetch
longer: jsr next
        inx
        inx
        inx
        inx
        bcs long1       ; 192; the carry is set since it was found equal
; block
wait:   cmp #$82
        bcc rare
        sbc #$82
        sty ZPT
        tay
        lda WAITS,y
        ldy ZPT
        jmp ticks
rare:   lsr a
        bcc whole
        jsr next
        bit ZPT
        inx
        inx
        inx
        nop
        jmp ticks       ; 24 more than another wait
whole:  jsr next
        sta ZPT
        txa
        adc #9
        tax
        pha
        pla
        nop
        lda ZPT
        bpl done
        jmp send        ; 72 more
${atEnd(repeat, stop !== undefined)}saved:  ldx #0
        txs
        ldx #ZPLESS
back:   pla
        sta ZPEND,x
        inx
        bne back
        plp
        rts
; block
ticks:  sta ZPN
        txa
        adc #9          ; the carry is set on either way here: ten
        tax
tick:${stop === undefined ? '' : asked(stop)}   clc
        lda ZPPART
        adc #STEP_PART
        sta ZPPART
        lda ZPGRID
        adc #STEP_LOW
        sta ZPGRID
        lda ZPGRID+1
        adc #STEP_HIGH
        sta ZPGRID+1
        bmi tail
        bne rest
near:   lda ZPGRID
        cmp ZPGO
        bcc near1
        sta ZPGO
        nop
        nop
        inx             ; one unit more
near1:  inx
        inx
        nop
tail:   txa
        clc
        adc #TICK
        tax
${stop === undefined ? '        bit ZPT\n' : stop.isLow ? '' : '        nop\n'}        dec ZPN
        bne tick        ; 48, with a key 56; two and three units more
        jmp step        ; 80 without the ticks
rest:   sec
        jsr less
        beq rest3
rest1:  lda #196
        sec
rest2:  sbc #1
        bne rest2
        nop
        nop
        ldx #128
        jsr less
        bne rest1       ; 128 units each
        nop
rest3:  lda #0
        sta ZPGO
        ldx #6
        bne near
${stop === undefined ? '' : STOPPED}`;
}

/** Asks the bit with the byte on the stack; A holds it again at the end. With what is less to wait behind it two units. */
function polled({ mask, isLow }: PlayerBit): string {
  return `emit:   lda READY
        and #${mask}
        ${isLow ? 'bne' : 'beq'} busy
        pla
       `;
}

/** Two units a round; the carry is set since the byte may leave. */
const BUSY = `busy:   inx
        inx
        bcs emit
`;

function armed({ mask }: PlayerBit): string {
  return `        lda #${mask}
        sta ZPARM
`;
}

/** One unit, with what is less to wait behind it. */
function asked({ isLow }: PlayerBit): string {
  return `   lda STOP
${isLow ? '        eor #255\n' : ''}        and ZPARM
        bne stopped
       `;
}

/** The key is asked no more, and what ends all that may sound is played. */
const STOPPED = `stopped: ldx saved+1
        txs
        ldx #0
        stx ZPARM
        stx ZPDEPTH
        ldy #SILENCE_LOW
        lda #SILENCE_HIGH
        jmp begin
`;

function atEnd(repeat: boolean, canStop: boolean): string {
  if (!repeat) return 'done:\n';
  if (!canStop) return 'done:   jmp again\n';
  return `done:   lda ZPARM
        beq saved
        jmp again
`;
}

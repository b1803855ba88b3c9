// Length: the source of one program, an instruction a line.
import type { PlayerBit, PlayerMachine } from './player-machine.ts';

/**
 * The Z80 player, as source. Every path between two bytes is padded to whole units of 32 T-states and takes what
 * it costs off the account; `z80-paths.ts` is the same table for the packer. Instruction times are the processor's
 * published ones (from memory), and an emulator confirms each path in the tests. The figure behind a line is the
 * T-states since `step`. A `ret` that cannot be taken is padding of 5, a jump to the next line of 10 or 12.
 *
 * HL source, B symbols left at this level, C depth of references; HL' account (units until the next byte is due),
 * DE' debt (units by which the burst has run past its grid
 * point), A' what the grid is ahead in parts of a unit. docs/stream.md tells what the symbols mean.
 *
 * Names in capitals are put in when the player is made for a board and a song.
 */
export function sourceZ80({ ready, stop, repeat }: Pick<PlayerMachine, 'ready' | 'stop' | 'repeat'>): string {
  return `
start:  ld (saved+1),sp
        xor a
        ex af,af'
${stop === undefined ? '' : armed(stop)}again:  ld hl,STREAM
begin:  ld bc,0
        exx
        ld hl,SLOT
        ld de,0
        exx
        jp fetch
fetch:  ld a,(hl)
        inc hl
        or a
        jp m,code       ; 40
send:   exx             ; 44
sendx:  ld bc,LESS_PLAIN
        add hl,bc
        bit 7,h
        jp nz,late      ; 83
spin:   dec hl
        bit 7,h
        nop
        nop
        jp z,spin       ; 32 each
${ready === undefined ? 'emit:' : polled(ready)}   out (PORT),a
        ld bc,SLOT
        add hl,bc
        ex de,hl
        add hl,bc
        ex de,hl
        exx
        jr emit1
emit1:  jp step0        ; 160
step0:
step:   djnz fetch      ; 13, at the end of a level 8
        ld a,c
        or a
        jp z,top        ; 26
        pop hl
        pop bc          ; 46
        exx
        dec hl
        dec hl
        dec hl
        exx             ; 72
        nop
        jp level
level:  jp step         ; 96
top:    exx             ; 30
        dec hl
        dec hl
        exx             ; 46
        jr top1
top1:   nop
        ret nz
        jp fetch        ; 77: 13 and two units
${ready === undefined ? '' : BUSY}late:   ex de,hl
        or a
        sbc hl,de
        inc hl
        ex de,hl
        ld hl,-1
        nop
        ld b,0
        jp emit         ; two units
code:   cp REF
        jp nc,ref       ; 57
        cp STATUS
        jp c,other      ; 74
        ret c
        nop             ; 83
        add a,STATUSES_LOW
        ld e,a
        ld d,STATUSES_HIGH
        ld a,(de)       ; 108
        exx
        dec hl
        dec hl
        dec hl
        jp sendx        ; 140: 44 and three units
ref:    cp NEAR
        jp c,far        ; 74
        ld e,(hl)
        inc hl
        push bc
        inc c
        scf
        rra
        ld d,a          ; the high byte of how far it is
        ld b,1
        rl b            ; two or three
        push hl
        add hl,de       ; 140
        exx
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
        exx
        jp fetch        ; 205: 13 and six units
far:    cp LONG
        jp z,longer     ; 91
        sub REF_LESS
long1:  ld e,(hl)
        inc hl
        ld d,(hl)
        inc hl
        push bc
        inc c
        ld b,a
        push hl
        ex de,hl
        exx
        ld bc,-6
        add hl,bc
        exx
        nop
        nop
        jp fetch        ; 205
longer: ld a,(hl)
        inc hl
        exx
        dec hl
        exx
        jr long1        ; one unit more
other:  cp PAIR
        jp c,wait       ; 91
        ret c
        push bc
        push hl
        inc c
        ld b,2
        add a,a
        add a,PAIRS_LOW
        ld l,a
        ld h,PAIRS_HIGH ; 151
        exx
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
        exx
        jp fetch        ; 205
wait:   cp 0x82
        jp c,rare       ; 108
        add a,WAITS_LOW
        ld e,a
        ld d,WAITS_HIGH
        ld a,(de)
ticks:  exx             ; 137
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
tick:${stop === undefined ? '' : asked(stop)}   ex de,hl
        ex af,af'
        add a,STEP_PART
        ld bc,STEP
        sbc hl,bc
        ex af,af'
        bit 7,h
        jp z,owing      ; 62
        ex de,hl
        or a
        sbc hl,de
        ld de,0
        ld bc,LESS_TICK
        add hl,bc
        bit 7,h
        jp nz,round     ; 134
rest:   dec hl
        bit 7,h
        nop
        nop
        jp z,rest       ; 32 each
round:  ret z
        inc h
        push bc
        pop bc
        nop
        jp tail         ; 178
tail:   dec a
        jp nz,tick      ; 192: six units
        exx
        ret nz
        jp step         ; 192 without the ticks
owing:  ex de,hl
        ld bc,LESS_OWING
        add hl,bc
        inc bc
        inc bc
        ret nz
        jp tail         ; 128 with the tail: four units
rare:   cp 0x81
        jp z,often      ; 125
        ld a,(hl)
        inc hl
        or a
        jp p,done       ; 152
        exx
        dec hl
        dec hl
        dec hl
        dec hl
        dec hl
        nop
        nop
        jp sendx        ; 204: 44 and five units
often:  ld a,(hl)
        inc hl
        exx
        dec hl
        dec hl
        exx
        jr often1
often1: jr often2
often2: ret nz
        jp ticks        ; 197: 133 and two units
${stop === undefined ? '' : STOPPED}${atEnd(repeat, stop !== undefined)}saved:  ld sp,0
        ret
`;
}

/** Two units on the way, and two for each time that the bit says no. C holds the byte. */
function polled({ mask, isLow }: PlayerBit): string {
  return `emit:   ld c,a
        jr emit2
emit2:  nop
        nop
        nop
        nop
poll:   in a,(READY)
        and ${mask}
        jp ${isLow ? 'nz' : 'z'},busy
        ld a,c
       `;
}

/** 64 T-states from one asking to the next. */
const BUSY = `busy:   inc de
        inc de
        jr busy2
busy2:  jr poll
`;

function armed({ mask }: PlayerBit): string {
  return `        ld a,${mask}
        ld (armed+1),a
`;
}

/** Two units; B holds the steps that are left. */
function asked({ isLow }: PlayerBit): string {
  return `   ld b,a
        in a,(STOP)
${isLow ? '        cpl\n' : '        nop\n'}armed:  and 0
        jp nz,stopped
        ld a,b
        jr asked2
asked2: jr asked3
asked3:
       `;
}

/** The key is asked no more, and what ends all that may sound is played. */
const STOPPED = `stopped: xor a
        ld (armed+1),a
        ld sp,(saved+1)
        exx
        ld hl,SILENCE
        jp begin
`;

function atEnd(repeat: boolean, canStop: boolean): string {
  if (!repeat) return 'done:   jp saved\n';
  if (!canStop) return 'done:   jp again\n';
  return `done:   ld a,(armed+1)
        or a
        jp nz,again
`;
}

; Loads what wirepit prepare --out song.wav puts on a cassette, and starts it. The blocks are those of docs/tape.md: one
; that is hit is passed over, and when the tape is played again the blocks that are missing come to the others. In the
; syntax of z80asm. Interrupts are off while it runs; it uses 10 bytes of stack and needs 1 MHz or more.
;
; Set these for your machine:
ORIGIN: equ 0x1000      ; where this loader lies; not where the song will
WORK:   equ 0x1200      ; 522 bytes that are free, from an address that ends in 00
INPUT:  equ 0x11        ; port with the level of the cassette input in one bit
MASK:   equ 0x80        ; that bit
SHOW:   equ 0x12        ; port that is told how many blocks are missing, after each that is whole
UNITS:  equ 4           ; 4 at 1200 baud, 16 at 300
LONG:   equ 31          ; rounds of half1 in a half cycle between short and long: (312.5 * MHz - 90) / 38

BLOCK:  equ WORK+256    ; number, total, address, length, data, checksum
TOTAL:  equ WORK+518
LEFT:   equ WORK+519
START:  equ WORK+520

        org ORIGIN
load:   di
        ld hl,WORK      ; a byte for each block: 1 when it is there
        xor a
clear:  ld (hl),a
        inc l
        jr nz,clear
        ld (TOTAL),a
sync:   call char       ; a block begins with 5A C3
        jr c,sync
sync1:  cp 0x5a
        jr nz,sync
        call char
        jr c,sync
        cp 0xc3
        jr nz,sync1
        exx
        ld hl,0xffff
        ld de,BLOCK
        exx
        ld h,5
        call chars
        jr c,sync
        ld a,(BLOCK+4)
        or a
        jr z,sync
        ld h,a
        call chars
        jr c,sync
        ld h,2          ; with its own checksum the checksum of a whole block is 0
        call chars
        jr c,sync
        exx
        ld a,h
        or l
        exx
        jr nz,sync
        ld a,(BLOCK)
        ld l,a
        ld h,WORK/256
        ld a,(hl)
        or a
        jr nz,sync      ; it is there already
        ld a,(TOTAL)
        ld bc,(BLOCK+1) ; C: how many blocks there are
        or a
        jr z,first
        cp c
        jr nz,sync      ; of another tape
        jr take
first:  ld a,c
        ld (TOTAL),a
        ld (LEFT),a
take:   ld (hl),1
        ld a,l
        or a
        jr z,head
        ld hl,BLOCK+5
        ld de,(BLOCK+2)
        ld bc,(BLOCK+4)
        ld b,0
        ldir
        ld hl,LEFT
        dec (hl)
        jr told
head:   ld hl,(BLOCK+5)
        ld (START),hl
told:   ld a,(LEFT)
        out (SHOW),a
        or a
        jp nz,sync
        ld a,(WORK)
        or a
        jp z,sync       ; all but the head
        ld hl,(START)
        jp (hl)

; H characters to DE' and into the checksum in HL'. Carry: the block broke off.
chars:  call char
        ret c
        exx
        ld (de),a
        inc de
        xor h
        ld h,a
        ld b,8
crc:    add hl,hl
        jr nc,crc1
        ld a,h
        xor 0x10
        ld h,a
        ld a,l
        xor 0x21
        ld l,a
crc1:   djnz crc
        exx
        dec h
        jr nz,chars
        or a
        ret

; The next character into A. Carry: there was none for 20 ms. Work between two characters is done in the stop bits.
char:   ld e,100
char1:  call half
        jr nc,begin
        dec e
        jr nz,char1
        scf
        ret
begin:  ld e,UNITS-2
        ld c,0
        call rest
        jr c,char       ; no start bit
        ld l,0x80
char2:  call onebit
        rr l
        jr nc,char2
        ld a,l
        or a
        ret

; One bit: half cycles until its time is over, a long one for two. Carry: a one.
onebit: ld e,UNITS
        ld c,0
rest:   call half
        jr c,brief
        inc c
        dec e
brief:  dec e
        jr z,over
        jp p,rest
over:   ld a,c
        cp UNITS/4
        ret

; Waits until the level in D changes. Carry: that was a short half cycle, of 2400 Hz.
half:   ld b,0
half1:  inc b           ; 38 T-states a round
        in a,(INPUT)
        and MASK
        cp d
        jr z,half1
        ld d,a
        ld a,b
        cp LONG
        ret

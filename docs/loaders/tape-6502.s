; Loads what wirepit prepare --out song.wav puts on a cassette, and starts it. The blocks are those of docs/tape.md: one
; that is hit is passed over, and when the tape is played again the blocks that are missing come to the others. In the
; syntax of ca65. Interrupts are off while it runs; it uses 6 bytes of stack and needs 1 MHz or more.
;
; Set these for your machine:
ORIGIN = $1000          ; where this loader lies; not where the song will
WORK   = $1200          ; 522 bytes that are free, from an address that ends in 00
ZERO   = $80            ; ten bytes of page zero
INPUT  = $A000          ; address with the level of the cassette input in one bit
MASK   = $80            ; that bit
SHOW   = $A001          ; address that is told how many blocks are missing, after each that is whole
UNITS  = 4              ; 4 at 1200 baud, 16 at 300
LONG   = 19             ; rounds of half1 in a half cycle between short and long: (312.5 * MHz - 40) / 14

BLOCK  = WORK+256       ; number, total, address, length, data, checksum
TOTAL  = WORK+518
LEFT   = WORK+519
START  = WORK+520
level  = ZERO           ; of the input, as it was last
longs  = ZERO+1
shift  = ZERO+2
count  = ZERO+3
crc    = ZERO+4         ; high byte behind the low one
to     = ZERO+6
from   = ZERO+8

        .org ORIGIN
load:   sei
        cld
        lda #0          ; a byte for each block: 1 when it is there
        tax
clear:  sta WORK,x
        inx
        bne clear
        sta TOTAL
sync:   jsr char        ; a block begins with 5A C3
        bcs sync
sync1:  cmp #$5A
        bne sync
        jsr char
        bcs sync
        cmp #$C3
        bne sync1
        lda #$FF
        sta crc
        sta crc+1
        lda #<BLOCK
        sta to
        lda #>BLOCK
        sta to+1
        lda #5
        jsr chars
        bcs sync
        lda BLOCK+4
        beq sync
        jsr chars
        bcs sync
        lda #2          ; with its own checksum the checksum of a whole block is 0
        jsr chars
        bcs sync
        lda crc
        ora crc+1
        bne sync
        ldx BLOCK
        lda WORK,x
        bne sync        ; it is there already
        lda TOTAL
        bne known
        lda BLOCK+1
        sta TOTAL
        sta LEFT
known:  cmp BLOCK+1
        bne sync        ; of another tape
        lda #1
        sta WORK,x
        txa
        beq head
        lda BLOCK+2
        sta to
        lda BLOCK+3
        sta to+1
        ldy #0
copy:   lda BLOCK+5,y
        sta (to),y
        iny
        cpy BLOCK+4
        bne copy
        dec LEFT
        jmp told
head:   lda BLOCK+5
        sta START
        lda BLOCK+6
        sta START+1
told:   lda LEFT
        sta SHOW
        bne again
        lda WORK
        beq again       ; all but the head
        jmp (START)
again:  jmp sync

; As many characters as A says to `to` and into the checksum. Carry: the block broke off.
chars:  sta count
chars1: jsr char
        bcs broke
        ldy #0
        sta (to),y
        inc to
        bne page
        inc to+1
page:   eor crc+1
        sta crc+1
        ldx #8
crc1:   asl crc
        rol crc+1
        bcc crc2
        lda crc+1
        eor #$10
        sta crc+1
        lda crc
        eor #$21
        sta crc
crc2:   dex
        bne crc1
        dec count
        bne chars1
        clc
broke:  rts

; The next character into A. Carry: there was none for 20 ms. Work between two characters is done in the stop bits.
char:   ldy #100
char1:  jsr half
        bcs begin
        dey
        bne char1
        sec
        rts
begin:  ldy #UNITS-2
        lda #0
        sta longs
        jsr rest
        bcc char        ; no start bit
        lda #$80
        sta shift
char2:  jsr onebit
        ror shift       ; bits come in turned round
        bcc char2
        lda shift
        eor #$FF
        clc
        rts

; One bit: half cycles until its time is over, a long one for two. Carry: a zero.
onebit: ldy #UNITS
        lda #0
        sta longs
rest:   jsr half
        bcc brief
        inc longs
        dey
brief:  dey
        beq over
        bpl rest
over:   lda longs
        cmp #UNITS/4
        rts

; Waits until the level changes. Carry: that was a long half cycle, of 1200 Hz.
half:   ldx #0
half1:  inx             ; 14 cycles a round
        lda INPUT
        and #MASK
        cmp level
        beq half1
        sta level
        cpx #LONG
        rts

"""Reads hex lines, runs each through libasound's byte-to-event encoder, prints what came out as hex messages.

snd_midi_event_encode_byte is the ALSA project's own live stream parser; it needs no sound hardware. Events are
turned back into bytes with snd_midi_event_decode (running status off), so that both sides speak hex.
"""
import ctypes
import sys

alsa = ctypes.CDLL('libasound.so.2')
alsa.snd_midi_event_decode.restype = ctypes.c_long
SIZE = 65536

for line in sys.stdin:
    parser, writer = ctypes.c_void_p(), ctypes.c_void_p()
    alsa.snd_midi_event_new(ctypes.c_size_t(SIZE), ctypes.byref(parser))
    alsa.snd_midi_event_new(ctypes.c_size_t(SIZE), ctypes.byref(writer))
    alsa.snd_midi_event_no_status(writer, 1)
    event = ctypes.create_string_buffer(64)
    out = ctypes.create_string_buffer(SIZE)
    messages = []
    for byte in bytes.fromhex(line):
        if alsa.snd_midi_event_encode_byte(parser, byte, event) == 1:
            length = alsa.snd_midi_event_decode(writer, out, ctypes.c_long(SIZE), event)
            messages.append(out.raw[:length].hex() if length > 0 else '??')
    print(','.join(messages))
    alsa.snd_midi_event_free(parser)
    alsa.snd_midi_event_free(writer)

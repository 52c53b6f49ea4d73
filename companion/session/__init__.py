"""The only place where the pure core meets clock, sound, screen and disk.

loop.py tells the sequencer what happens and carries out what it asks for; worlds.py are the devices
or the sound files around it; practise.py puts one session together from what the user chose.
"""

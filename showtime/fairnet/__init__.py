"""The line between the stalls of a fair, over MQTT 3.1.1 and a broker that is there already.

Owns topics, payloads and the leave that neighbours give each other. Refuses to speak for another
stall. Always holds: a stall that is cut off goes on with its last plan, and blocks nobody.
"""

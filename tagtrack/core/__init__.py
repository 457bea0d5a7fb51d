"""WHAT IS TRUE. Standard library only: no file, no clock, no random number, no print.

The modules are read in this order, and each imports only from those before it. A test holds both.
"""

READING_ORDER = (
    "errors",  # the kinds of trouble people are told about
    "frozen",  # frozen values, made and changed at little cost
    "cautions",  # the words on every sheet
    "spelling",  # how typed text is cleaned; which known name was meant
    "axes",  # sides, directions, the 24 ways a part can sit
    "tagcode",  # tag codes and their check character
    "marks",  # how a part sits, and the turn that mends it
    "handed",  # whether marks tell left from right; what the wrong part would show
    "part_numbers",  # whether two numbers read like a left and a right one
    "hardware",  # counts, callouts, stacks from head to nut
    "catalogue",  # what is known of standard hardware, as values
    "shape",  # the grammar of a family of callouts, compiled
    "callout",  # what a callout means, field by field
    "plain_words",  # what kind of piece plain words name
    "kinship",  # same number, successor, look-alike; what is used once
    "torque",  # torque as typed, in inch-pounds
    "stack_shape",  # a stack along its axis, in inches, for drawings
    "stack_sense",  # what in a stack does not belong together; reference torque
    "places",  # where a thing can be; movements with two ends
    "records",  # people, positions, parts, joints as found
    "events",  # everything that can be recorded; the act
    "sense",  # which way a control surface moves for which command
    "observations",  # whether the words of a look say that something is not right
    "codec",  # acts to plain documents and back
    "things",  # each thing as it stands: positions, parts, joints, tags, answers
    "state",  # what the record says now
    "assemblies",  # what went on with which assembly
    "ahead",  # tags printed ahead from a list that never got a meaning
    "custody",  # movements booked, and the joints and positions that they touch
    "handling",  # what is done to parts, joints, wires and losses
    "fold",  # from acts to state, the only writer of it
    "steps",  # recorded steps in shop words
    "reversal",  # what an act touches, so that it can be undone safely
    "shopbook",  # the shop's own record: people, tags, places, jobs
    "findings",  # what a check can find
    "index",  # the state by position
    "mixups",  # which bags are taken for each other
    "counting",  # pieces counted as what is wanted; what holds a position
    "check_parts",  # parts: place, way round, condition
    "check_pairs",  # left and right: hardware alike, marks that tell them apart
    "check_joints",  # hardware: counts, reuse, tight, safetied
    "owners",  # whose hardware lies in a bag
    "shortage",  # what must be had new
    "check_rest",  # connections, settings, things aboard, left over, lost, second looks
    "still_open",  # what is open in words: it is not wrong
    "exchanges",  # what most likely happened: shorts and leftovers explained together
    "order",  # what closes up what; what can go on next
    "reconcile",  # all checks together: open, findings, clean
    "faces",  # what a tag says, as values
    "tagwords",  # from the state to faces
    "sweep",  # one look over the bench: what lies there, what is missing, what does not fit
    "sheets",  # a printed sheet, as values
    "accounts",  # where everything is, as tables of the leftover report
    "looked_at",  # what was looked at, closed out, and put aboard for a while, as tables of the same
    "leftover",  # from the state to the leftover report
    "refit_sheet",  # from the state to the reinstallation sheet
    "half_done",  # what somebody who stops leaves: half done, off, aboard, to be looked at
    "handover",  # from that to the handover sheet
)

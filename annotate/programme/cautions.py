"""What is said where work is risky or pain is possible: short, in one place, and the same everywhere.

Common practice in the trade; no trial stands behind the wording.
"""

VERDICT = "Criteria met on the tags made; the trainer decides."
RISK = "Helmet, second person, clear pen, gate shut. Never wrap the line round a hand or the body."
PAIN = (
    "Pain is possible: have a vet, farrier and saddle fitter look before more training. This is not a diagnosis."
)
FIRST = (
    "Work with young horses injures people and horses. Local codes, licensed practitioners and the owner's "
    "consent to filming come first."
)

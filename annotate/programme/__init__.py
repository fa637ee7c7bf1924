"""The trainer's programme: its steps, what each asks for, and where a horse stands on the tags made."""

"""The herd that is open: snapshot, assessment, undo, jobs. Qt without widgets."""

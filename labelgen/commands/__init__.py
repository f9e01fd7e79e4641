"""One module per command: open, call one library function, print."""

#: Each command is a module under labelgen.commands, imported only when asked for.
COMMANDS = (
    "new",
    "demo",
    "check",
    "panel",
    "explain",
    "compare",
    "label",
    "stock",
    "preflight",
    "stall",
    "declare",
    "allergens",
    "foods",
    "round",
    "law",
    "weigh",
    "draft",
    "ledger",
    "status",
    "help",
)

"""Who may come in, and what they may do: hosts, origins, paired devices, rules, headers."""

"""The oil: viscosity, grade, fuel, reserve alkalinity, additives, and the methods' precision."""

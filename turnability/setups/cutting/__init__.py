"""Forces, power, speeds and roughness of a turning cut."""

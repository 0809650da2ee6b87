"""What several kinds model alike: a car, ducts, burnt gas, a line of tubes and silencers."""

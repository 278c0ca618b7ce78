mod random;

"""What is seen on the screens: each widget takes plain data and draws it."""

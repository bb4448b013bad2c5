"""The odds in pictures: when it is likely done, what bears on that, and time needed against time left."""

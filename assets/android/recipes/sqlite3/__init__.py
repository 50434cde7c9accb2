"""SQLite for the phone with R*Tree, which python-for-android's own recipe leaves out."""

from pythonforandroid.recipes.sqlite3 import Sqlite3Recipe


class Sqlite3WithRTreeRecipe(Sqlite3Recipe):
    """The same recipe and version; only the compiler is told of R*Tree (sqlite.org/rtree.html)."""

    def get_recipe_env(self, *args, **kwargs):
        """The environment of the build, with the flag added."""
        env = super().get_recipe_env(*args, **kwargs)
        env["CFLAGS"] = f"{env.get('CFLAGS', '')} -DSQLITE_ENABLE_RTREE=1".strip()
        return env


recipe = Sqlite3WithRTreeRecipe()

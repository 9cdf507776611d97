"""The possible combinations, under the name by which the rooms after this one know them."""

from genplan.case.possible import CHECKS, Obstacle, obstacle, possible_combinations

__all__ = ["CHECKS", "Obstacle", "obstacle", "possible_combinations"]

"""A task for looking things up: by id, by kind's name."""

from __future__ import annotations

from framing.engine.trucks.facts import LoadTask
from framing.engine.trucks.model import Frame, Model, span_of
from framing.engine.trucks.plan import Truck
from framing.engine.units import format_length


class Hold:
    """Raises TrucksRefused for facts that no plan can be made from."""

    def __init__(self, task: LoadTask) -> None:
        self.task, self.model = task, Model(task)
        self.things = {thing.id: thing for thing in task.things}
        self.index = {thing.id: index for index, thing in enumerate(self.model.things)}
        self.frames = {frame.kind.name: frame for frame in self.model.frames}

    def frame(self, truck: Truck) -> Frame:
        return self.frames[truck.kind]

    def name(self, thing: str) -> str:
        """As people call it; the id of what is not in the task."""
        return self.things[thing].name if thing in self.things else thing

    def size(self, length_16: int) -> str:
        return format_length(length_16, self.task.units)

    def span(self, truck: Truck, thing: str) -> int:
        """Lanes that a thing takes side by side."""
        frame = self.frame(truck)
        return span_of(self.things[thing].width_16, frame.kind, frame.lanes)

    def on_deck(self, truck: Truck, thing: str) -> int:
        """What a thing takes of the deck's length."""
        return self.frame(truck).lengths[self.index[thing]]

    def weight_lb(self, things: tuple[str, ...]) -> float:
        return sum(self.things[thing].weight_100 for thing in things) / 100

    def height_16(self, things: tuple[str, ...]) -> int:
        """Of a stack over the deck, dunnage under each tier with it."""
        return sum(self.things[thing].height_16 + self.task.dunnage.height_16 for thing in things)

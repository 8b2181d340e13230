"""A train as it stands tonight: what is known of it, from which places are guessed where a guest is worst off."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Vehicles, bearing, evaluate, side_use, stand
from consist.trains import LegRun, Prepared, Trip

__all__ = ["EVERY", "Leg", "TrainTonight", "highest"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

EVERY = 2
"""Guesses are made at every second step of the tables."""
MOST_ASKEW = 2
"""So many places are known at which the least pull does most to a car."""
LEAST_G = 1e-9
"""Less than this (gram-force) is nothing."""
STRETCH = 6
"""Of so many places in a row only the one is taken that seems worst."""


class TrainTonight:
    """A train as it stands tonight, and what guesses are made from, where it backs nowhere on its way."""

    def __init__(self, of: Prepared) -> None:
        self.of = of
        self._sines: dict[bytes, Floats] = {}

    @cached_property
    def trip(self) -> Trip:
        """It run in full."""
        return self.of.run()

    @cached_property
    def legs(self) -> list[Leg]:
        """What guesses are made from, by leg."""
        return [Leg(run, self._longest_mm) for run in self.trip.legs]

    @cached_property
    def faces_mm(self) -> Floats:
        """Where the face between two vehicles is looked at: all along the route and somewhat past its ends."""
        tables = self.of.runs[0]
        step = EVERY * tables.step_mm
        past = int(2.0 * self._longest_mm / step) + 1
        return step * np.arange(-past, int(tables.track.length_mm / step) + past, dtype=np.float64)

    @cached_property
    def _longest_mm(self) -> float:
        cars, engines = self.of.session.cars.values(), (*self.of.engines, *self.of.train.helpers)
        return max(*(car.coupled_length_mm for car in cars), *(engine.coupled_length_mm for engine in engines), 0.0)

    @cached_property
    def near_curves(self) -> Numbers:
        """The faces at which a vehicle next to them may be on a curve."""
        track = self.of.runs[0].track
        on = track.stretches
        ends = np.append(on.start_mm[1:], track.length_mm)
        curved = (on.bend != 0.0) | (on.bend_change != 0.0)
        change = np.zeros(len(self.faces_mm) + 1)
        for bounds, by in ((on.start_mm[curved] - self._longest_mm, 1), (ends[curved] + self._longest_mm, -1)):
            np.add.at(change, np.searchsorted(self.faces_mm, bounds), by)
        near = np.flatnonzero(np.cumsum(change)[:-1] > 0.0)
        return np.pad(near, (0, -len(near) % STRETCH), mode="edge") if len(near) else near

    def sines(self, trains: Vehicles, vehicle: Numbers) -> Floats:
        """The sines that the coupling behind a vehicle of each of some trains makes with it and with the next one, of
        shape (2, trains, faces)."""
        two = np.stack((vehicle, vehicle + 1)), np.arange(len(vehicle))
        sizes = np.concatenate(
            [column[two] for column in (trains.length_mm, trains.truck_centers_mm, trains.pivot_mm)]
        )
        keys = [size.tobytes() for size in sizes[:, :, 0].T]
        for number, key in enumerate(keys):
            if key not in self._sines:
                pair = trains.pick(two).orders(slice(number, number + 1))
                standing = stand(pair, self.of.runs[0], self.faces_mm[self.near_curves] + pair.length_mm[0])
                found = np.zeros((2, len(self.faces_mm)))
                found[:, self.near_curves] = standing.ahead.ravel(), standing.behind.ravel()
                self._sines[key] = found
        return np.stack([self._sines[key] for key in keys], axis=1)


class Leg:
    """One leg of tonight's train: the forces along it, and where its cars and its engines are worst off."""

    def __init__(self, run: LegRun, more_mm: float) -> None:
        vehicles = run.vehicles
        self.from_mm, self.to_mm, self._step_mm = run.from_mm, run.to_mm, run.tables.step_mm
        self.number = {car.car.name: number for number, car in enumerate(run.cars, start=run.first_car)}
        self.after_cars = len(vehicles) - vehicles.behind
        # of what more is asked helpers give their share, which takes it off the couplings ahead of them
        self.helped = float(vehicles.pull_g[self.after_cars :].sum() / max(vehicles.pull_g.sum(), LEAST_G))
        # with a guest in the train the cars behind it come to stand that much farther back
        count = int((run.to_mm - run.from_mm + 2.0 * more_mm) / (self._step_mm * STRETCH)) + 1
        self.heads_mm = run.from_mm - more_mm + self._step_mm * np.arange(count * STRETCH, dtype=np.float64)
        self._faces_mm = np.concatenate(([0.0], np.cumsum(vehicles.length_mm)))
        train = vehicles.columns
        figures = evaluate(train, run.tables, self.heads_mm, run.limits)
        along, standing = figures.forces, figures.standing
        # what a train without engines takes, somebody's hand gives ahead of it
        hand = np.zeros_like(along.resistance) if run.powered else along.resistance
        none = np.zeros((1, len(hand)))
        self._tensions = np.concatenate((hand[None, :], along.tension, none))
        self._pull_g = 0.5 * (self._tensions[:-1] + self._tensions[1:])
        # nothing pulls at the two ends, and there are none where no vehicle is left on this leg
        front, rear = (
            np.concatenate(sines)[: len(vehicles)] for sines in ((none, standing.behind), (standing.ahead, none))
        )
        self._use_per_g = side_use(np.abs(front), np.abs(rear), bearing(train, run.limits))
        self._resistance = along.resistance
        given = np.where(np.isfinite(along.engine_share), along.engine_share, 0.0)
        self._have_g = np.divide(
            along.resistance, given, out=np.maximum(along.usable, LEAST_G), where=np.abs(given) > LEAST_G
        )
        self.worst, self.worst_mm = run.peaks.use.value, run.peaks.use.head_mm - vehicles.middle_mm
        self.askew_mm = self.heads_mm[highest(self._use_per_g, MOST_ASKEW)] - vehicles.middle_mm[:, None]
        self.middle_mm = vehicles.middle_mm
        self.power_mm = np.concatenate((run.peaks.power_use.head_mm, run.peaks.hold_use.head_mm))

    def with_more(self, more_g: Floats | float, vehicle: Numbers) -> Floats:
        """About what some vehicles come to, at each head, with more to pull: of shape (vehicles, heads)."""
        pulled: Floats = self._pull_g[vehicle] + more_g
        np.abs(pulled, out=pulled)
        pulled *= self._use_per_g[vehicle]
        return pulled

    def engine_share(self, more_g: Floats) -> Floats:
        """About what engines give at each head as a share of what they have, with more to pull."""
        share: Floats = (self._resistance + more_g) / self._have_g
        return share

    def tension(self, face: Numbers, at_mm: Floats) -> Floats:
        """The forces at some of its faces, by the vehicles behind them, with those nearest to some places: of shape
        (faces, places)."""
        head = (at_mm + (self._faces_mm[face] - self.heads_mm[0])[:, None]) * (1.0 / self._step_mm)
        tensions: Floats = self._tensions[
            face[:, None], np.clip(np.rint(head).astype(np.intp), 0, len(self.heads_mm) - 1)
        ]
        return tensions


def highest(figures: Floats, most: int) -> Numbers:
    """By row, the numbers of the few highest, one of each stretch at most; rows hold whole stretches."""
    stretches = figures.reshape(len(figures), figures.shape[1] // STRETCH, STRETCH)
    highs = stretches.max(axis=2)
    if most < highs.shape[1]:
        best = np.argpartition(highs, -most - 1, axis=1)[:, highs.shape[1] - most :]
    else:
        best = np.broadcast_to(np.arange(highs.shape[1]), highs.shape)
    found: Numbers = best * STRETCH + np.take_along_axis(stretches, best[:, :, None], axis=1).argmax(axis=2)
    return found

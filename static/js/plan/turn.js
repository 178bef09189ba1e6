// A whole thing turned about its middle: by finger around it, by the arrow keys a degree or fifteen at a time.

import { pathOf } from './shape.js';

const STEP = 5; // degrees, while it is drawn to a step
const SHIFTED = 15;

export function turn(plan) {
  const { key } = plan.things.get(plan.focus);
  const about = middleOf(plan.things.get(key).rings);
  let by = 0; // degrees, counterclockwise
  let from = 0;

  const angleOf = (px) => {
    const [x, y] = plan.toFeet(px);
    return (Math.atan2(y - about[1], x - about[0]) * 180) / Math.PI;
  };
  const turned = () => plan.things.get(key).rings.map((ring) => ({
    ...ring,
    points: ring.points.map((point) => turnedAbout(point, about, by)),
    through: ring.through.map((point) => point && turnedAbout(point, about, by)),
  }));
  const words = () => plan.words('turned_by', { degrees: Math.round(by * 10) / 10 });

  function redraw() {
    plan.overlay.show({ path: pathOf(turned()), handle: about });
    plan.overlay.read(plan.view, about, by ? words() : '');
  }
  function send() {
    if (!by) return;
    plan.shape(key, 'place', { how: 'move', turn: by, about_x: feet(about[0]), about_y: feet(about[1]) });
    plan.tell(words());
  }
  function follow(px) {
    const angle = angleOf(px) - from;
    by = plan.step() ? Math.round(angle / STEP) * STEP : angle;
    by = ((by + 540) % 360) - 180;
  }

  return {
    name: 'turn',
    bar: () => 'turn',
    does: { done: () => plan.use('look') },
    grab(px) {
      from = angleOf(px);
      return true;
    },
    drag(px) {
      follow(px);
      plan.overlay.drag({ path: pathOf(turned()), handle: about });
      plan.overlay.read(plan.view, about, words());
    },
    drop(px) {
      follow(px);
      send();
    },
    giveUp() { by = 0; redraw(); },
    tap() {},
    key(event) {
      const way = { ArrowLeft: 1, ArrowRight: -1 }[event.key];
      if (way) {
        by += way * (event.shiftKey ? SHIFTED : 1);
        redraw();
        plan.tell(words());
      } else if (event.key === 'Enter') send();
      else if (event.key === 'Escape') plan.use('look');
      else return false;
      return true;
    },
    redraw,
    refresh: redraw,
    refusedNow: redraw,
    saved(change) { if (change.made) plan.use('look'); },
  };
}

/** A length as it is typed, to its last digit. */
export const feet = (value) => `${Number(value.toFixed(9))} ft`;

function middleOf(rings) {
  const points = rings.flatMap((ring) => ring.points);
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  return [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
}

function turnedAbout([x, y], [ax, ay], degrees) {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return [ax + (x - ax) * cos - (y - ay) * sin, ay + (x - ax) * sin + (y - ay) * cos];
}

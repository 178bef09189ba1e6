// A shape taken in hand: a corner is dragged, the middle of an edge bends it to an arc, corners come and go.
// Each change goes to the server when the finger lets go; what it refuses stays drawn, to be put right.

import { arcThrough, distance, lengthOf, middleOf } from './arcs.js';
import {
  bent, edgeAt, edgePlaces, middlesOf, neighborsOf, pathOf, riseToward, withPoint, withPointIn, withRise, withoutPoint,
} from './shape.js';
import { guidesFrom, snapped } from './snapping.js';
import { fromEnds, slid } from './openings.js';
import { nudged, roundRise } from './steps.js';

export function reshape(plan) {
  const { key, layer, width } = plan.things.get(plan.focus);
  const isOpening = layer === 'openings';
  let { rings, at: stands } = plan.things.get(key);
  let active = null; // { ring, place, edge }: the corner or the middle of an edge in hand
  let hold = [0, 0]; // ft: from the finger to what it holds
  let targets = null;
  let dirty = false; // changed and not yet sent
  let refused = false;

  const ring = () => rings[active.ring];
  const isPoint = () => active && !active.edge;
  const handleAt = () => (stands ?? (active.edge ? middleOf(...edgeAt(ring(), active.place)) : ring().points[active.place]));
  const setRing = (one) => { rings = rings.with(active.ring, one); };

  function find(px, kind) {
    const reach = plan.reach(kind);
    const at = plan.toFeet(px);
    if (stands) return distance(stands, at) <= reach ? { ring: 0, place: 0, edge: false } : null;
    const all = rings.flatMap((one, place) => [
      ...one.points.map((point, corner) => ({ ring: place, place: corner, edge: false, point })),
      ...middlesOf(one).map((point, edge) => ({ ring: place, place: edge, edge: true, point })),
    ]);
    const near = all.map((one) => ({ ...one, away: distance(one.point, at) - (one.edge ? 0 : reach / 4) }));
    return near.filter(({ away }) => away <= reach).sort((a, b) => a.away - b.away)[0] ?? null;
  }

  /** A corner lies square or parallel to the edges around it, or level with its neighbors. */
  function guides() {
    if (stands || active.edge) return [];
    const one = ring();
    const { before, after } = neighborsOf(one, active.place);
    return [before, after].filter((place) => place !== null).flatMap((place) => {
      const other = place === before ? neighborsOf(one, place).before : neighborsOf(one, place).after;
      const from = one.points[place];
      const along = other === null || other === active.place ? [] : [[from[0] - one.points[other][0], from[1] - one.points[other][1]]];
      return guidesFrom(from, [...along, [1, 0]]);
    });
  }

  function place(px, kind) {
    const at = plan.toFeet(px);
    const wanted = [at[0] + hold[0], at[1] + hold[1]];
    const reach = plan.reach(kind) / 2;
    if (isOpening) {
      stands = slid(plan.walls, wanted, width, plan.step());
      return { kind: 'wall', guides: [] };
    }
    if (active.edge) return bend(wanted, reach);
    const found = snapped(wanted, { ...targets, guides: guides(), reach, step: plan.step() });
    putPoint(found.point);
    return { kind: found.kind, guides: found.guides.map(({ from }) => [from, found.point]) };
  }

  function putPoint(point) {
    if (stands) stands = isOpening ? slid(plan.walls, point, width) : point;
    else setRing(withPoint(ring(), active.place, point));
  }

  /** An edge passes through a corner that is near; else its radius goes by the step, or it is half a circle, or straight. */
  function bend(at, reach) {
    const [start, , end] = edgeAt(ring(), active.place);
    const through = snapped(at, { points: targets.points, reach });
    if (through.kind) setRing(bent(ring(), active.place, through.point));
    else setRing(withRise(ring(), active.place, roundRise(riseToward(start, end, at), distance(start, end) / 2, reach, plan.step())));
    const arc = arcThrough(...edgeAt(ring(), active.place));
    return { kind: through.kind, guides: arc ? [[arc.center, middleOf(...edgeAt(ring(), active.place))]] : [] };
  }

  function words() {
    if (isOpening) return fromEnds(plan.walls, stands)?.map(plan.length).join('  ·  ') ?? '';
    if (stands) return '';
    const one = ring();
    if (active.edge) return edgeWords(edgeAt(one, active.place));
    const { before, after } = neighborsOf(one, active.place);
    const edges = [...(before === null ? [] : [before]), ...(after === null ? [] : [active.place])];
    return edges.map((edge) => plan.length(lengthOf(...edgeAt(one, edge)))).join('  ·  ');
  }

  function edgeWords(edge) {
    const arc = arcThrough(...edge);
    const long = plan.length(lengthOf(...edge));
    return arc ? plan.words('arc', { radius: plan.length(arc.radius), length: long }) : long;
  }

  function redraw() {
    const arc = active?.edge ? arcThrough(...edgeAt(ring(), active.place)) : null;
    plan.overlay.mark(refused ? 'refused' : '');
    plan.overlay.show({
      path: pathOf(rings),
      points: rings.flatMap((one) => one.points),
      edges: rings.flatMap(middlesOf),
      handle: active || stands ? handleAt() : null,
      guides: arc ? [[arc.center, handleAt()]] : [],
    });
    plan.overlay.read(plan.view, active ? handleAt() : null, active ? words() : '');
  }

  function send() {
    dirty = false;
    plan.save(key, stands ? { at: stands } : { rings });
  }

  function taken(next) {
    active = next;
    plan.showBar();
    redraw();
    if (active && !stands) plan.tell(active.edge ? plan.words('edge_in_hand', { words: words() }) : plan.words('corner_in_hand', { number: active.place + 1, words: words() }));
  }

  const does = {
    add_corner() {
      const one = ring();
      setRing(withPointIn(one, active.place, middleOf(...edgeAt(one, active.place))));
      send();
      taken({ ring: active.ring, place: active.place + 1, edge: false });
    },
    take_corner() {
      const less = withoutPoint(ring(), active.place);
      if (!less) { plan.tell(plan.words('too_few')); return; }
      setRing(less);
      send();
      taken(null);
    },
    straighten() {
      setRing(withRise(ring(), active.place, 0));
      send();
      taken(active);
    },
    done: () => plan.use('look'),
    put_back() {
      refused = false;
      dirty = false;
      plan.forget(key);
      refresh();
    },
  };

  function refresh() {
    const thing = plan.things.get(key);
    if (!thing) { plan.use('look'); return; }
    if (!refused && !dirty && !plan.waits(key)) ({ rings, at: stands } = thing);
    if (active && !stands && !(active.place < (rings[active.ring]?.points.length ?? 0))) active = null;
    plan.showBar();
    redraw();
  }

  /** Corners and middles of edges one after another, as the keyboard goes through them. */
  function stepThrough(by) {
    const all = rings.flatMap((one, number) => edgeOrder(one).map((item) => ({ ring: number, ...item })));
    const now = active ? all.findIndex((one) => one.ring === active.ring && one.place === active.place && one.edge === active.edge) : -1;
    taken(all[(now + by + all.length) % all.length]);
  }

  function nudge(by) {
    if (!active && !stands) return false;
    const [x, y] = handleAt();
    const to = [x + by[0], y + by[1]];
    if (active?.edge) {
      const [start, , end] = edgeAt(ring(), active.place);
      setRing(withRise(ring(), active.place, riseToward(start, end, to)));
    } else putPoint(to);
    dirty = true;
    redraw();
    plan.tell(stands ? plan.words('at', placeWords(stands)) : words());
    return true;
  }

  const placeWords = (at) => ({ east: plan.length(at[0]), north: plan.length(at[1]) });

  return {
    name: 'reshape',
    key: (event) => {
      const by = nudged(event);
      if (by) return nudge(by);
      if (event.key === 'PageDown' || event.key === 'PageUp') stepThrough(event.key === 'PageDown' ? 1 : -1);
      else if (event.key === 'Enter') { if (dirty) send(); else if (!active && !stands) stepThrough(1); else plan.use('look'); }
      else if (event.key === 'Escape') { if (dirty || refused) does.put_back(); else plan.use('look'); }
      else if (['Delete', 'Backspace'].includes(event.key) && isPoint()) does.take_corner();
      else if (['Insert', '+'].includes(event.key) && active?.edge) does.add_corner();
      else return false;
      return true;
    },
    bar: () => {
      if (refused) return 'refused';
      if (stands) return isOpening ? 'sliding' : 'standing';
      if (!active) return 'reshape';
      return active.edge ? 'edge' : 'corner';
    },
    does,
    grab(px, kind) {
      const found = find(px, kind);
      if (!found) return false;
      active = { ring: found.ring, place: found.place, edge: found.edge };
      const [x, y] = handleAt();
      const at = plan.toFeet(px);
      hold = [x - at[0], y - at[1]];
      targets = plan.targets({ but: key, own: own() });
      return true;
    },
    drag(px, kind) {
      const { guides: shown } = place(px, kind);
      plan.overlay.drag({ path: pathOf(rings), handle: handleAt(), guides: shown });
      plan.overlay.read(plan.view, handleAt(), words());
      plan.loupe(kind, handleAt());
    },
    drop(px, kind) {
      const { kind: caught } = place(px, kind);
      refused = false;
      send();
      plan.tell([caught && plan.words(`caught_${caught}`), words()].filter(Boolean).join('. '));
      plan.showBar();
      redraw();
    },
    giveUp() {
      active = null;
      refresh();
    },
    tap(px, kind) {
      const found = find(px, kind);
      if (found) { taken({ ring: found.ring, place: found.place, edge: found.edge }); return; }
      const other = plan.hit(px, kind);
      if (other?.key === key) { taken(null); return; }
      plan.use('look');
      plan.select(other?.key ?? '');
    },
    refresh,
    redraw,
    refusedNow() {
      refused = true;
      plan.showBar();
      redraw();
    },
    saved: refresh,
  };

  /** The shape's own corners can be caught too, but not those at the ends of the edges in hand. */
  function own() {
    if (stands) return [];
    const { before, after } = neighborsOf(ring(), active.place);
    const near = new Set([active.place, after, ...(active.edge ? [] : [before])]);
    return rings.flatMap((one, number) => one.points
      .filter((_, corner) => number !== active.ring || !near.has(corner))
      .map((point) => ({ key: 'own', at: point })));
  }
}

const edgeOrder = (one) => one.points.flatMap((_, corner) => [
  { place: corner, edge: false }, ...(edgePlaces(one).includes(corner) ? [{ place: corner, edge: true }] : []),
]);

"use strict";
(() => {
  const role = document.body.dataset.role;
  const mine = document.body.dataset.mark;
  const changes = role !== "reader";
  const at = (id) => document.getElementById(id);
  const LONGEST_SILENCE = 25000;
  let state = null;
  let heard = Date.now();
  let source = null;
  let picked = null; // a car taken by keys or by a tap: {car, train}, and where it would go: {to, place}

  const made = (tag, attributes = {}, ...inside) => {
    const one = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (value === null || value === undefined || value === false) continue;
      if (name.startsWith("on")) one.addEventListener(name.slice(2), value);
      else one.setAttribute(name, value === true ? "" : String(value));
    }
    one.append(...inside.filter((part) => part !== null && part !== undefined));
    return one;
  };
  const mark = (verdict) => made("strong", { class: `mark ${verdict}` }, verdict.toUpperCase());
  const say = (text) => {
    at("said").textContent = text;
  };

  // what is asked of the desk; what it refuses is said in its own words
  const ask = async (path, told) => {
    let answer;
    try {
      answer = await fetch(path, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(told),
      });
    } catch {
      outOfTouch();
      say("The desk cannot be reached; nothing was changed.");
      return null;
    }
    const found = await answer.json().catch(() => ({ error: "the desk's answer cannot be read" }));
    if (answer.ok) return found;
    const since = (found.since ?? []).map((one) => `${one.name}: ${one.what}`).join("; ");
    say(`Not done: ${found.error}.${since ? ` Meanwhile: ${since}.` : ""}`);
    if (answer.status === 409) await load();
    return null;
  };

  const change = async (list) => {
    if (!changes || !state) return;
    const answer = await ask("/changes", { revision: state.revision, changes: list });
    if (answer) take(answer, true);
  };

  const load = async () => {
    try {
      const answer = await fetch("/state");
      if (answer.status === 401) {
        outOfTouch("The desk was started anew; open the link that it printed now.");
        return;
      }
      const now = await answer.json();
      // what was asked for before a change that came meanwhile is old
      if (!state || now.revision >= state.revision) show(now);
      inTouch();
    } catch {
      outOfTouch();
    }
  };

  // what is shown already stays as it is, so that a drag under way is not lost
  const show = (now, only) => {
    const same = state && Object.keys(now).every((key) => JSON.stringify(now[key]) === JSON.stringify(state[key]));
    state = now;
    if (!same) render(only);
  };

  // trains that came are as they now are; all else comes whole; an own change comes twice, as answer and as news
  const take = (came, own) => {
    if (!state || came.revision < state.revision) return;
    const known = new Map(came.trains.map((train) => [train.train, train]));
    const missed = came.revision > state.revision + 1;
    const news = came.revision > state.revision;
    const { by, ...now } = came;
    show({ ...now, trains: state.trains.map((train) => known.get(train.train) ?? train) }, [...known.keys()]);
    if (news && own) say(came.trains.map(words).join(" ") || "Done.");
    else if (news && came.done.length) say(`${came.done[0].name}: ${came.done[0].what}. ${came.trains.map(words).join(" ")}`);
    if (missed) load();
  };

  const words = (train) => {
    const was = train.told.was_margin && train.told.was_margin !== train.told.margin ? `, was ${train.told.was_margin}` : "";
    return `${train.train}: margin ${train.told.margin}${was}; ${train.verdict}.`;
  };

  const outOfTouch = (text) => {
    document.body.classList.add("away");
    at("touch").textContent = text ?? "Out of touch with the desk: what stands here may be old. It comes back by itself.";
    document.querySelectorAll("[data-changes]").forEach((one) => (one.disabled = true));
  };
  const inTouch = () => {
    document.body.classList.remove("away");
    at("touch").textContent = changes ? "In touch with the desk." : "In touch with the desk, to look on.";
    document.querySelectorAll("[data-changes]").forEach((one) => (one.disabled = one.dataset.off === "1"));
    at("save").disabled = !state.changed;
  };

  const listen = () => {
    source?.close();
    source = new EventSource("/events");
    source.addEventListener("here", (event) => {
      heard = Date.now();
      const { revision } = JSON.parse(event.data);
      if (!state || state.revision !== revision || document.body.classList.contains("away")) load();
    });
    source.addEventListener("done", (event) => {
      heard = Date.now();
      const came = JSON.parse(event.data);
      take(came, came.by === mine);
    });
    source.onerror = () => {
      outOfTouch();
      if (source.readyState === EventSource.CLOSED) setTimeout(listen, 2000);
    };
  };
  setInterval(() => {
    if (Date.now() - heard > LONGEST_SILENCE) {
      heard = Date.now();
      outOfTouch();
      listen();
    }
  }, 1000);

  // the page

  const idOf = (train) => `train-at-${state.trains.findIndex((one) => one.train === train)}`;

  const render = (only) => {
    const focused = document.activeElement?.dataset?.key;
    const glance = state.trains.map((train) =>
      made("li", {}, made("a", { href: `#${idOf(train.train)}`, dir: "auto" }, train.train), " ", mark(train.verdict)),
    );
    at("glance").replaceChildren(...glance);
    const place = at("trains");
    state.trains.forEach((train, number) => {
      const there = place.children[number];
      if (!there) place.append(trainOf(train));
      else if (!only || only.includes(train.train)) there.replaceWith(trainOf(train, there));
    });
    // engines to be had are told on every train
    if (only) state.trains.filter((train) => !only.includes(train.train)).forEach((train) => {
      const there = at(idOf(train.train));
      there.querySelector(".engines").replaceWith(enginesOf(train));
    });
    const idle = at("idle").querySelector("ol");
    idle.replaceChildren(...state.idle.map(idleOf));
    at("tasks").replaceChildren(...state.tasks.map(taskOf));
    at("done").replaceChildren(...state.done.map(doneOf));
    at("unsaved").textContent = state.changed ? "Not saved yet." : "As the tables are.";
    at("save").disabled = !state.changed || document.body.classList.contains("away");
    if (focused) document.querySelector(`[data-key="${CSS.escape(focused)}"]`)?.focus();
    if (picked) shown();
  };

  const trainOf = (train, old) => {
    const { told } = train;
    const was = (now, before) => (before !== null && before !== now ? ` (was ${before})` : "");
    const worse = train.before && train.side_use > train.before.side_use * 1.005;
    const open = old?.querySelector("details")?.open ?? false;
    const title = made("h2", { id: `${idOf(train.train)}-title` }, made("span", { dir: "auto" }, train.train), " ", mark(train.verdict));
    if (train.before && train.before.verdict !== train.verdict) title.append(" ", made("small", {}, `was ${train.before.verdict}`));
    const worst = train.worst ? ` at ${train.worst.car}, ${train.worst.place}` : "";
    const figures = made(
      "p",
      {},
      made("span", { class: worse ? "worse" : null }, `Margin ${told.margin}${was(told.margin, told.was_margin)}${worst}`),
      `. Power ${told.power}${was(told.power, told.was_power)}. ${told.train}.`,
    );
    const route = made("p", { class: "legend" }, `${train.depart ? `${train.depart}, ` : ""}${train.stops.join(", ")}`);
    const found = train.findings.filter((one) => one.level !== "note").slice(0, 3);
    const findings = found.length
      ? made("ul", { class: "list" }, ...found.map((one) => made("li", {}, mark(one.level), ` ${one.say}`)))
      : null;
    const cars = made("ol", { class: "cars", "data-train": train.train, "aria-label": `Cars of ${train.train}, head end first` });
    cars.append(...train.standing.map((car, number) => carOf(train, car, number)));
    const better = told.better
      ? made("button", { type: "button", "data-changes": true, class: "better", "data-key": `better ${train.train}`, onclick: () => takeBetter(train) },
          `Take the better order: ${told.better}`)
      : null;
    const sheet = made("div", { class: "sheet-here" });
    const logged = changes ? logOf(train) : null;
    const whole = made("details", { ontoggle: () => whole.open && fetchSheet(train.train, sheet) }, made("summary", {}, "The whole sheet"), sheet);
    if (open) whole.open = true;
    return made(
      "article",
      { class: `train ${train.verdict}`, id: idOf(train.train), "aria-labelledby": `${idOf(train.train)}-title` },
      title, figures, route, findings, enginesOf(train), cars, better, logged, whole,
    );
  };

  // how it ran: clean with one tap, or the car that came off and the stretch or place where it did
  const logOf = (train) => {
    const tell = async (told) => {
      const answer = await ask("/log", { train: train.train, ...told });
      if (!answer) return;
      const { what, car, at } = answer.logged;
      say(`Logged: ${train.train}, ${what === "off" ? `${car} came off ${at.length > 1 ? "between" : "at"} ${at.join(" and ")}` : "clean"}.`);
    };
    const choice = (label, options) => made("select", { "data-changes": true, "aria-label": `${label} of ${train.train}`, "data-key": `${label} ${train.train}` },
      made("option", { value: "" }, label), ...options.map(([value, text]) => made("option", { value }, text)));
    const car = choice("car that came off", train.standing.map((one) => [one.car, one.car]));
    const places = train.places ?? train.stops;
    const spots = places.flatMap((place, number) => [[JSON.stringify([place]), `at ${place}`],
      ...(number + 1 < places.length ? [[JSON.stringify([place, places[number + 1]]), `between ${place} and ${places[number + 1]}`]] : [])]);
    const where = choice("where", spots);
    const off = () => (car.value && where.value ? tell({ what: "off", car: car.value, at: JSON.parse(where.value) }) : say("Say which car came off, and where."));
    return made("div", { class: "engines log" },
      made("button", { type: "button", "data-changes": true, "data-key": `clean ${train.train}`, onclick: () => tell({ what: "clean" }) }, "Log a clean run"),
      car, where, made("button", { type: "button", "data-changes": true, "data-key": `came off ${train.train}`, onclick: off }, "Log it off the track"));
  };

  const fetchSheet = async (train, into) => {
    try {
      const answer = await fetch(`/sheet?train=${encodeURIComponent(train)}`);
      const came = new DOMParser().parseFromString(await answer.text(), "text/html");
      into.replaceChildren(...came.body.childNodes);
      into.querySelectorAll(".back, .follow, .find, h2").forEach((one) => one.remove());
    } catch {
      outOfTouch();
    }
  };

  const enginesOf = (train) => {
    const box = made("div", { class: "engines" });
    const put = (engines, helpers) => change([{ do: "engines", train: train.train, engines, helpers }]);
    const of = (names, where) => {
      box.append(made("span", {}, `${where}: ${names.length ? "" : "none"}`));
      names.forEach((name) => {
        const left = names.filter((other) => other !== name);
        const act = () => (where === "Engines" ? put(left, null) : put(null, left));
        box.append(made("button", { type: "button", "data-changes": true, "data-key": `off ${train.train} ${name}`, onclick: act, "aria-label": `Take engine ${name} off ${train.train}` }, `${name} \u00d7`));
      });
      const on = new Set([...train.engines, ...train.helpers]);
      const free = state.engines.filter((engine) => !on.has(engine.engine));
      if (!free.length) return;
      const choice = made("select", { "data-changes": true, "data-key": `on ${where} ${train.train}`, "aria-label": `Put another engine on ${train.train}, ${where === "Engines" ? "at the head end" : "at the rear end"}`,
        onchange: () => choice.value && (where === "Engines" ? put([...names, choice.value], null) : put(null, [...names, choice.value])) });
      choice.append(made("option", { value: "" }, "put on"));
      free.forEach((engine) => choice.append(made("option", { value: engine.engine },
        `${engine.engine}, ${engine.class}${engine.trains.length ? `, on ${engine.trains.join(" and ")}` : ""}`)));
      box.append(choice);
    };
    of(train.engines, "Engines");
    of(train.helpers, "Helpers");
    return box;
  };

  const gripOf = (car, train) =>
    made("button", { type: "button", class: "grip", "data-changes": true, "data-key": `grip ${car}`, "data-car": car, "aria-pressed": "false",
      "aria-label": train ? `Move ${car}` : `Set ${car} into a train`, onclick: tapped, onkeydown: keyed, onpointerdown: pressed }, "\u2195");

  const carOf = (train, car, number) => {
    const moved = car.was !== null && car.was !== car.use;
    const bar = made("span", { class: "gauge", "aria-hidden": "true" }, made("i", { style: `width:${(100 * car.share).toFixed(1)}%` }),
      made("b", { class: "at-care", style: `left:${(100 * state.bar.care).toFixed(1)}%` }), made("b", { style: `left:${(100 * state.bar.hold).toFixed(1)}%` }));
    const use = made("span", { class: "use-words" }, `${car.use}`, moved ? made("small", {}, ` was ${car.was}`) : null,
      car.level === "go" ? null : made("span", { class: "unseen" }, ` past ${car.level}`));
    const about = [car.kind, car.weight, car.block && `block ${car.block}`, car.hold && `held: ${car.hold}`, car.guest && "a guest's"].filter(Boolean);
    const load = car.load_g > 0
      ? made("button", { type: "button", class: "load", "data-changes": true, "data-key": `load ${car.car}`, "aria-pressed": String(car.loaded),
          "aria-label": `${car.car} loaded`, onclick: () => change([{ do: "load", train: train.train, cars: [car.car], loaded: !car.loaded }]) }, car.loaded ? "loaded" : "empty")
      : made("span", { class: "load-none" });
    const out = made("button", { type: "button", class: "out", "data-changes": true, "data-key": `out ${car.car}`, "aria-label": `Take ${car.car} out of ${train.train}`,
      onclick: () => change([{ do: "take", cars: [car.car], train: train.train }]) }, "out");
    return made("li", { class: car.level, "data-car": car.car }, gripOf(car.car, train.train), made("span", { class: "spot" }, String(number + 1)),
      made("span", { class: "name" }, made("span", { dir: "auto" }, car.car), " ", made("small", {}, about.join(", "))),
      made("span", { class: "bar-cell" }, bar, use), load, out);
  };

  const idleOf = (car) =>
    made("li", { "data-car": car.car }, gripOf(car.car, ""), made("span", { class: "spot" }),
      made("span", { class: "name" }, made("span", { dir: "auto" }, car.car), " ", made("small", {}, [car.kind, car.weight, car.guest && "a guest's"].filter(Boolean).join(", "))));

  const taskOf = (task, number) => {
    const box = made("input", { type: "checkbox", id: `task-${number}`, "data-key": `task ${task.key}`, checked: task.done, disabled: !changes });
    box.checked = task.done;
    box.addEventListener("change", async () => {
      const answer = await ask("/ticks", { task: task.key, done: box.checked });
      if (answer) take(answer, true);
      else box.checked = task.done;
    });
    const label = made("label", { for: `task-${number}` }, ...(task.level ? [mark(task.level), " "] : []),
      `${[task.by, task.train].filter(Boolean).join(" ")}${task.train ? ": " : ""}${task.what}`);
    return made("li", {}, box, label, ...task.more.map((line) => made("span", { class: "more" }, line)));
  };

  const doneOf = (one) => {
    const may = changes && !one.tick && !one.undone && (one.by === mine || role === "host");
    const act = () => undo(one.revision);
    return made("li", { value: one.revision, class: one.undone ? "undone" : null },
      made("span", {}, `${one.at.slice(11, 16)} ${one.name}: ${one.what}`),
      may ? made("button", { type: "button", "data-changes": true, "data-key": `undo ${one.revision}`, onclick: act, "aria-label": `Undo change ${one.revision}: ${one.what}` }, "undo") : null);
  };

  const undo = async (of) => {
    const answer = await ask("/undo", of === undefined ? {} : { of });
    if (answer) take(answer, true);
  };

  const takeBetter = (train) =>
    change(train.suggestion.moves.map((move) => ({ do: "move", train: train.train, cars: move.cars, after: move.after })));

  // moving a car: dragged by mouse or finger, or picked up with a tap or the keys and set down in the same way

  const carsOf = (train) => (train ? state.trains.find((one) => one.train === train).standing : state.idle).map((one) => one.car);
  const trainWith = (car) => state.trains.find((train) => train.standing.some((one) => one.car === car))?.train ?? "";

  // so that it stands ahead of the car now at that place of a train's list, counted without the car itself
  const setDown = (car, from, to, place) => {
    if (!to) return from ? change([{ do: "take", cars: [car], train: from }]) : null;
    const others = carsOf(to).filter((other) => other !== car);
    const spot = Math.max(0, Math.min(place, others.length));
    if (from === to && carsOf(to).indexOf(car) === spot) return say(`${car} stays where it is.`);
    if (!from) return change([{ do: "add", train: to, car, spot: spot + 1 }]);
    return change([{ do: "move", train: to, cars: [car], after: spot ? others[spot - 1] : null }]);
  };

  const clear = () => {
    document.querySelectorAll(".here, .here-last, .taken, .dragged").forEach((one) => one.classList.remove("here", "here-last", "taken", "dragged"));
    document.querySelectorAll('.grip[aria-pressed="true"]').forEach((one) => one.setAttribute("aria-pressed", "false"));
  };
  const listOf = (train) => [...document.querySelectorAll("ol.cars")].find((list) => list.dataset.train === train);
  const marked = (car, to, place) => {
    clear();
    const grip = document.querySelector(`.grip[data-car="${CSS.escape(car)}"]`);
    grip?.setAttribute("aria-pressed", "true");
    grip?.closest("li").classList.add("taken");
    const list = listOf(to);
    const rows = [...list.children].filter((row) => row.dataset.car !== car);
    if (!to) list.classList.add("here");
    else if (place < rows.length) rows[place].classList.add("here");
    else list.classList.add("here-last");
  };
  const shown = () => marked(picked.car, picked.to, picked.place);
  const drop = () => {
    picked = null;
    clear();
  };

  const pick = (car) => {
    const from = trainWith(car);
    const to = from || state.trains[0]?.train || "";
    picked = { car, from, to, place: from ? carsOf(from).indexOf(car) : 0 };
    shown();
    say(`${car} is picked up. Arrow keys move it along a train and to the next; Enter sets it down, Escape leaves it.`);
  };
  const place = async () => {
    const { car, from, to, place: spot } = picked;
    drop();
    await setDown(car, from, to, spot);
    document.querySelector(`.grip[data-car="${CSS.escape(car)}"]`)?.focus();
  };

  function tapped(event) {
    const { car } = event.currentTarget.dataset;
    if (!picked) return pick(car);
    if (picked.car === car) return event.detail === 0 ? place() : (drop(), say(`${car} stays where it is.`));
    // another car's grip was tapped: behind that one
    const to = trainWith(car);
    const others = carsOf(to).filter((other) => other !== picked.car);
    picked.to = to;
    picked.place = others.indexOf(car) + 1;
    return place();
  }

  function keyed(event) {
    if (!picked) return;
    const trains = [...state.trains.map((one) => one.train), ""];
    const length = carsOf(picked.to).filter((other) => other !== picked.car).length;
    if (event.key === "Escape") {
      const { car } = picked;
      drop();
      say(`${car} stays where it is.`);
    } else if (event.key === "ArrowUp") picked.place = Math.max(picked.place - 1, 0);
    else if (event.key === "ArrowDown") picked.place = Math.min(picked.place + 1, length);
    else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
      const step = event.key === "ArrowRight" ? 1 : trains.length - 1;
      picked.to = trains[(trains.indexOf(picked.to) + step) % trains.length];
      picked.place = Math.min(picked.place, picked.to ? carsOf(picked.to).filter((other) => other !== picked.car).length : 0);
    } else return;
    event.preventDefault();
    if (picked) {
      shown();
      say(picked.to ? `${picked.car}: spot ${picked.place + 1} of ${picked.to}.` : `${picked.car}: out of its train.`);
    }
  }

  function pressed(event) {
    if (!changes || event.button !== 0 || event.currentTarget.disabled) return;
    const grip = event.currentTarget;
    const { car } = grip.dataset;
    const start = [event.clientX, event.clientY];
    let dragging = false;
    let goal = null;
    const near = (x, y) => {
      const over = document.elementFromPoint(x, y)?.closest("ol.cars, article.train, #idle");
      const list = over?.matches("ol.cars") ? over : over?.querySelector("ol.cars");
      if (!list) return null;
      const rows = [...list.children].filter((row) => row.dataset.car !== car);
      const before = rows.findIndex((row) => y < row.getBoundingClientRect().top + row.offsetHeight / 2);
      return { to: list.dataset.train, place: before < 0 ? rows.length : before };
    };
    const move = (moving) => {
      const far = Math.hypot(moving.clientX - start[0], moving.clientY - start[1]);
      if (!dragging && far < 6) return;
      if (!dragging) drop();
      dragging = true;
      goal = near(moving.clientX, moving.clientY);
      if (goal) marked(car, goal.to, goal.place);
      else clear();
      grip.closest("li").classList.add("dragged");
      if (moving.clientY < 60) scrollBy(0, -14);
      else if (moving.clientY > innerHeight - 60) scrollBy(0, 14);
    };
    const end = (ending) => {
      grip.removeEventListener("pointermove", move);
      grip.removeEventListener("pointerup", end);
      grip.removeEventListener("pointercancel", end);
      if (!dragging) return;
      clear();
      // the click that follows is no tap
      const eaten = (click) => click.stopImmediatePropagation();
      grip.addEventListener("click", eaten, true);
      setTimeout(() => grip.removeEventListener("click", eaten, true), 50);
      if (ending.type === "pointerup" && goal) setDown(car, trainWith(car), goal.to, goal.place);
    };
    grip.setPointerCapture(event.pointerId);
    grip.addEventListener("pointermove", move);
    grip.addEventListener("pointerup", end);
    grip.addEventListener("pointercancel", end);
  }

  // the door

  const asked = async (event) => {
    event.preventDefault();
    const told = Object.fromEntries(new FormData(at("door")));
    const answer = await ask("/door", told);
    if (!answer) return;
    const list = answer.trains.map((ride) => {
      const may = ride.may ? `${ride.train}: ${ride.may}` : `${ride.train}: not tonight. ${ride.why_not ?? ""}`;
      const long = ride.too_long.length ? ` The train is then too long for ${ride.too_long.join(" and ")}.` : "";
      const spots = ride.spots.map((spot) => made("option", { value: spot }, `spot ${spot}`));
      const choice = made("select", { "data-changes": true, "aria-label": `Spot in ${ride.train}` }, ...spots);
      const into = async () => {
        const from = trainWith(answer.car);
        const take = from ? [{ do: "take", cars: [answer.car], train: from }] : [];
        await change([...answer.changes, ...take, { do: "add", train: ride.train, car: answer.car, spot: Number(choice.value) }]);
      };
      const button = made("button", { type: "button", "data-changes": true, onclick: into }, "Set it in");
      return made("li", {}, made("span", {}, may + long), ...(ride.may && changes ? [choice, button] : []));
    });
    at("answer").replaceChildren(made("p", {}, made("strong", { dir: "auto" }, answer.car), answer.kind ? `, ${answer.kind}` : ""), made("ul", {}, ...list));
  };

  at("door").addEventListener("submit", asked);
  at("undo").addEventListener("click", () => undo());
  at("save").addEventListener("click", async () => {
    const answer = await ask("/save", {});
    if (!answer) return;
    state = answer;
    render();
    say("Saved into the session's tables; a copy of what stood before is beside them.");
  });
  at("naming").addEventListener("submit", async (event) => {
    event.preventDefault();
    const answer = await ask("/name", { name: at("name").value });
    if (answer) say(`You are ${answer.name} here.`);
  });
  addEventListener("offline", () => outOfTouch());
  addEventListener("online", listen);
  load().then(listen);
})();

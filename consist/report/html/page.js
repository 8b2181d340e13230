"use strict";
(() => {
  const offerFilter = (find) => {
    const box = find.querySelector("input");
    const count = find.querySelector("output");
    const rows = [...document.getElementById(box.dataset.rows).tBodies[0].rows];
    const texts = rows.map((row) => row.textContent.toLowerCase());
    const show = () => {
      const wanted = box.value.trim().toLowerCase();
      let shown = 0;
      rows.forEach((row, number) => {
        row.hidden = !texts[number].includes(wanted);
        shown += row.hidden ? 0 : 1;
      });
      count.textContent = wanted ? `${shown} of ${rows.length} shown` : `${rows.length} rows`;
    };
    box.addEventListener("input", show);
    show();
    find.hidden = false;
  };

  const markerOn = (picture, kind) => {
    const marker = document.createElement("span");
    marker.className = `marker ${kind}`;
    picture.querySelector(".drawn").append(marker);
    return marker;
  };

  const lineOver = (picture) => {
    const [left, top, right, bottom] = picture.dataset.along.split(" ").map(Number);
    const marker = markerOn(picture, "line");
    marker.style.top = `${top}%`;
    marker.style.height = `${bottom - top}%`;
    return (share) => {
      marker.style.left = `${left + share * (right - left)}%`;
    };
  };

  // the stretch that the train takes up, kept within the route
  const stretchOver = (picture, long) => {
    const [left, top, right, bottom] = picture.dataset.along.split(" ").map(Number);
    const marker = markerOn(picture, "stretch");
    marker.style.top = `${top}%`;
    marker.style.height = `${bottom - top}%`;
    return (share) => {
      const rear = Math.max(share - long, 0);
      marker.style.left = `${left + rear * (right - left)}%`;
      marker.style.width = `${(share - rear) * (right - left)}%`;
    };
  };

  const trainOn = (picture, long) => {
    const points = picture.dataset.track.split(" ").map((point) => point.split(",").map(Number));
    const over = (name) => document.createElementNS("http://www.w3.org/2000/svg", name);
    const [sheet, edge, train] = [over("svg"), over("polyline"), over("polyline")];
    sheet.setAttribute("class", "marker over");
    sheet.setAttribute("viewBox", "0 0 100 100");
    sheet.setAttribute("preserveAspectRatio", "none");
    sheet.setAttribute("aria-hidden", "true");
    edge.setAttribute("class", "edge");
    train.setAttribute("class", "train");
    sheet.append(edge, train);
    picture.querySelector(".drawn").append(sheet);
    return (share) => {
      const [rear, head] = [Math.max(share - long, 0), share].map((at) => at * (points.length - 1));
      const between = points.filter((_, number) => number > rear && number < head);
      const drawn = [pointAt(points, rear), ...between, pointAt(points, head)].map((point) => point.join()).join(" ");
      [edge, train].forEach((line) => line.setAttribute("points", drawn));
    };
  };

  const pointAt = (points, at) => {
    const before = points[Math.floor(at)];
    const after = points[Math.ceil(at)];
    const part = at - Math.floor(at);
    return before.map((side, number) => side + part * (after[number] - side));
  };

  const dotOn = (picture) => {
    const points = picture.dataset.track.split(" ").map((point) => point.split(",").map(Number));
    const marker = markerOn(picture, "dot");
    return (share) => {
      const [left, top] = pointAt(points, share * (points.length - 1));
      marker.style.left = `${left}%`;
      marker.style.top = `${top}%`;
    };
  };

  // in as many places as keep it on its own side of each limit
  const inPercent = (use, limits) => {
    const keeps = (text) => limits.every((limit) => Number(text) > 100 * limit === use > limit);
    const told = [0, 1, 2].map((places) => (100 * use).toFixed(places));
    return told.find(keeps) ?? told[2];
  };

  // each car's bar and figure with the head end at a place, and as they were where none is given
  const barsOf = (sheet) => {
    const uses = JSON.parse(sheet.querySelector("[data-uses]")?.dataset.uses ?? "[]");
    const table = [...sheet.querySelectorAll("table")].find((one) => one.querySelector(".bar"));
    const bars = table ? [...table.querySelectorAll(".bar")] : [];
    if (bars.length !== uses.length) return () => {};
    const cars = bars.map((bar, number) => {
      const cell = bar.closest("td, th");
      const [drawn, figure] = [bar.querySelector("path:nth-child(2)"), cell.querySelector("data")];
      const spoken = cell.querySelector(".use .unseen");
      const rest = { level: drawn.getAttribute("class"), d: drawn.getAttribute("d"), words: figure.textContent };
      const [care, hold] = [Number(bar.dataset.care), Number(bar.dataset.hold)];
      const long = parseFloat(bar.querySelector(".at-hold").getAttribute("d").slice(1)) / hold;
      const at = (use) => ({
        level: use > hold ? "hold" : use > care ? "care" : "go",
        d: `M0 1H${Math.min((use ?? 0) * long, 100)}V10H0Z`,
        words: use === null ? "–" : `${inPercent(use, [care, hold])} %`,
      });
      return (share) => {
        const along = uses[number];
        const moved = share !== null;
        const now = moved ? at(along[Math.min(Math.floor(share * along.length), along.length - 1)]) : rest;
        drawn.setAttribute("class", now.level);
        drawn.setAttribute("d", now.d);
        figure.textContent = now.words;
        if (spoken) spoken.hidden = moved;
      };
    });
    return (share) => cars.forEach((car) => car(share));
  };

  const offerFollowing = (follow) => {
    const sheet = follow.closest("article");
    const slider = follow.querySelector("input");
    const words = follow.querySelector("output");
    const telling = sheet.querySelector("[data-words]");
    const long = Number(telling?.dataset.long ?? 0);
    const tracks = [...sheet.querySelectorAll("[data-track]")];
    const moves = [
      ...(long > 0 ? [stretchOver(telling, long), ...tracks.map((picture) => trainOn(picture, long))] : []),
      ...[...sheet.querySelectorAll("[data-along]")].map(lineOver),
      ...tracks.map(dotOn),
    ];
    const places = telling ? JSON.parse(telling.dataset.words) : [];
    if (telling) {
      slider.max = String(places.length - 1);
      slider.value = telling.dataset.start;
    }
    const show = () => {
      const share = Number(slider.value) / Number(slider.max);
      const text = places[Number(slider.value)] ?? `${Math.round(100 * share)} % of the way`;
      words.textContent = text;
      slider.setAttribute("aria-valuetext", text);
      moves.forEach((move) => move(share));
    };
    const bars = barsOf(sheet);
    const note = follow.querySelector("p");
    slider.addEventListener("input", () => {
      show();
      bars(Number(slider.value) / Number(slider.max));
      note.hidden = false;
    });
    slider.addEventListener("blur", () => {
      bars(null);
      note.hidden = true;
    });
    show();
    follow.hidden = false;
  };

  // every sheet but that of the session folds; a link to it or into it opens it, and paper has all
  const offerFolds = () => {
    const folds = [...document.querySelectorAll("article:not(.sheet-session) > details")];
    const openAt = (address) => {
      const target = document.getElementById(decodeURIComponent(address.slice(1)));
      const fold = target?.closest("article")?.querySelector("details");
      if (!fold || fold.open) return;
      fold.open = true;
      target.scrollIntoView();
    };
    const openAll = () => folds.filter((fold) => !fold.open).map((fold) => ((fold.open = true), fold));
    let forPaper = [];
    folds.forEach((fold) => (fold.open = false));
    addEventListener("hashchange", () => openAt(location.hash));
    document.addEventListener("click", (event) => {
      const link = event.target.closest("a[href^='#']");
      if (link) openAt(link.hash);
    });
    addEventListener("beforeprint", () => (forPaper = openAll()));
    addEventListener("afterprint", () => forPaper.forEach((fold) => (fold.open = false)));
    document.getElementById("unfold").addEventListener("click", openAll);
    openAt(location.hash);
  };

  // a tick is kept by session, sheet and the task's own words, so that another task never takes it over
  const keepTicks = () => {
    const clear = document.getElementById("untick");
    const boxes = [...document.querySelectorAll("input[type=checkbox]")];
    const seen = new Map();
    const keys = boxes.map((box) => {
      const words = box.closest("li, tr").textContent.replace(/\s+/g, " ").trim();
      const of = box.closest("article").querySelector("h2 > span").textContent;
      const key = JSON.stringify(["consist tick", document.title, of, words]);
      seen.set(key, (seen.get(key) ?? 0) + 1);
      return `${key} ${seen.get(key)}`;
    });
    const held = (act) => {
      try {
        return act(localStorage);
      } catch {
        return null; // a browser may refuse to keep anything
      }
    };
    const offerClear = () => (clear.hidden = !boxes.some((box) => box.checked));
    boxes.forEach((box, number) => {
      const key = keys[number];
      box.checked = held((kept) => kept.getItem(key)) === "1";
      box.addEventListener("change", () => {
        held((kept) => (box.checked ? kept.setItem(key, "1") : kept.removeItem(key)));
        offerClear();
      });
    });
    clear.addEventListener("click", () => {
      boxes.forEach((box, number) => {
        box.checked = false;
        held((kept) => kept.removeItem(keys[number]));
      });
      offerClear();
    });
    offerClear();
  };

  offerFolds();
  keepTicks();
  document.querySelector(".kept").hidden = false;
  document.querySelectorAll(".find").forEach(offerFilter);
  document.querySelectorAll(".follow").forEach(offerFollowing);
})();

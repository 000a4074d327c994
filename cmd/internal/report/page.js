(function () {
  'use strict';
  var data = JSON.parse(document.getElementById('data').textContent);
  var all = function (selector) { return Array.prototype.slice.call(document.querySelectorAll(selector)); };
  var byKey = function (name) {
    var found = {};
    all('[data-' + name + ']').forEach(function (e) {
      var key = e.getAttribute('data-' + name);
      (found[key] = found[key] || []).push(e);
    });
    return found;
  };
  var texts = byKey('k'), marks = byKey('m'), strips = byKey('strip'), letters = byKey('letter');
  var dots = all('.front-chart .dot'), rows = all('[data-row]'), picks = all('[data-point]');
  var curve = document.querySelector('[data-ei]'), axis = document.querySelector('[data-axis]');
  var picked = data.start;
  var each = function (list, f) { (list || []).forEach(f); };
  var number = function (e, name) { return +e.getAttribute('data-' + name); };

  function current(e, on) {
    if (on) { e.setAttribute('aria-current', 'true'); } else { e.removeAttribute('aria-current'); }
  }

  function show(i) {
    var p = data.points[i];
    picked = i;
    data.keys.forEach(function (key, n) { each(texts[key], function (e) { e.textContent = p.texts[n]; }); });
    data.marks.forEach(function (key, n) { each(marks[key], function (e) { e.hidden = p.shown[n] === '0'; }); });
    p.strips.forEach(function (wood, n) {
      each(strips[n], function (e) { e.setAttribute('fill', 'url(#wood' + wood + ')'); });
      each(letters[n], function (e) { e.textContent = data.letters[wood]; });
    });
    curve.setAttribute('points', p.ei.map(function (y, n) { return data.along[n] / 10 + ',' + y / 10; }).join(' '));
    if (axis) {
      axis.setAttribute('y1', p.axis);
      axis.setAttribute('y2', p.axis);
    }
    var stop = true; // one dot takes the focus, the arrow keys reach the others
    dots.forEach(function (e) {
      var on = number(e, 'point') === i;
      current(e, on);
      e.setAttribute('tabindex', on && stop ? '0' : '-1');
      stop = stop && !on;
    });
    rows.forEach(function (e) { current(e, number(e, 'row') === i); });
    all('[data-go]').forEach(function (e) { e.disabled = target(e.getAttribute('data-go')) === picked; });
  }

  function target(go) {
    var last = data.points.length - 1;
    return { first: 0, last: last, start: data.start, back: Math.max(0, picked - 1), on: Math.min(last, picked + 1) }[go];
  }

  picks.forEach(function (e) {
    e.addEventListener('click', function (event) {
      event.preventDefault();
      if (e.closest('.front-chart') && event.detail > 0) { return; } // a pointer's click: the chart finds the nearest
      event.stopPropagation();
      show(number(e, 'point'));
      if (e.closest('table')) { document.getElementById('picked').scrollIntoView(); }
    });
  });

  // A finger is wider than a dot, and dots overlap: the nearest one within reach is meant.
  all('.front-chart').forEach(function (chart) {
    chart.addEventListener('click', function (event) {
      var nearest = -1, reach = 30;
      all('.dot').forEach(function (e) {
        if (!chart.contains(e)) { return; }
        var box = e.getBoundingClientRect();
        var away = Math.hypot(event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2);
        if (away < reach) {
          reach = away;
          nearest = number(e, 'point');
        }
      });
      if (nearest >= 0) { show(nearest); }
    });
    chart.addEventListener('keydown', function (event) {
      var go = { ArrowRight: 'on', ArrowUp: 'on', ArrowLeft: 'back', ArrowDown: 'back', Home: 'first', End: 'last' }[event.key];
      if (!go || event.ctrlKey || event.altKey || event.metaKey) { return; }
      event.preventDefault();
      show(target(go));
      var dot = chart.querySelector('.dot[aria-current]');
      if (dot) { dot.focus(); }
    });
  });

  all('[data-go]').forEach(function (e) {
    e.addEventListener('click', function () { show(target(e.getAttribute('data-go'))); });
  });

  document.documentElement.classList.add('js');
  var asked = /^#p(\d+)$/.exec(location.hash), first = data.start;
  if (asked) {
    data.points.forEach(function (p, i) { if (p.id === +asked[1]) { first = i; } });
  }
  show(first);
})();

(function () {
  'use strict';
  var data = JSON.parse(document.getElementById('data').textContent);
  var all = function (selector, within) { return Array.prototype.slice.call((within || document).querySelectorAll(selector)); };
  var byKey = function (name, list) {
    var found = {};
    (list || all('[data-' + name + ']')).forEach(function (e) {
      var key = e.getAttribute('data-' + name);
      (found[key] = found[key] || []).push(e);
    });
    return found;
  };
  var other = document.getElementById('other');
  var mine = function (e) { return !other.contains(e); };
  var texts = byKey('k'), marks = byKey('m'), compared = byKey('c'), differences = byKey('d');
  var strips = byKey('strip', all('[data-strip]').filter(mine)), letters = byKey('letter', all('[data-letter]').filter(mine));
  var otherStrips = byKey('strip', all('[data-strip]', other)), otherLetters = byKey('letter', all('[data-letter]', other));
  var dots = all('.front-chart .dot'), rows = all('[data-row]'), picks = all('[data-point]');
  var curve = document.querySelector('[data-ei]'), against = document.querySelector('[data-ei-against]');
  var axis = all('[data-axis]').filter(mine)[0], otherAxis = document.querySelector('#other [data-axis]');
  var select = document.getElementById('against'), passing = document.getElementById('passing');
  var limits = all('[data-most], [data-least]');
  var picked = data.start, comparing = data.reference ? 'reference' : 'none';
  var kept = data.points.map(function () { return true; }); // by the filters
  var each = function (list, f) { (list || []).forEach(f); };
  var number = function (e, name) { return +e.getAttribute('data-' + name); };
  var value = function (text) { return parseFloat(text.replace('\u2212', '-')); }; // not a number where the figure is not known

  function current(e, on) {
    if (on) { e.setAttribute('aria-current', 'true'); } else { e.removeAttribute('aria-current'); }
  }

  function wordsOf(p, key) { return p.texts[data.keys.indexOf(key)]; }

  function comparedTo() {
    if (comparing === 'none') { return null; }
    return comparing === 'reference' ? data.reference : data.points[comparing];
  }

  // The difference of two figures as they are shown, with its sign.
  function difference(a, b) {
    var x = value(a), y = value(b), decimals = (a.split('.')[1] || '').length, scale = Math.pow(10, decimals);
    if (isNaN(x) || isNaN(y)) { return '\u2013'; }
    var d = Math.round(x * scale) - Math.round(y * scale);
    return (d > 0 ? '+' : d < 0 ? '\u2212' : '') + (Math.abs(d) / scale).toFixed(decimals);
  }

  function paint(p, strips, letters, axis) {
    p.strips.forEach(function (wood, n) {
      each(strips[n], function (e) { e.setAttribute('fill', 'url(#wood' + wood + ')'); });
      each(letters[n], function (e) { e.textContent = data.letters[wood]; });
    });
    if (axis) {
      axis.setAttribute('y1', p.axis);
      axis.setAttribute('y2', p.axis);
    }
  }

  function line(p) { return p.ei.map(function (y, n) { return data.along[n] / 10 + ',' + y / 10; }).join(' '); }

  function show(i) {
    var p = data.points[i], q = comparedTo();
    picked = i;
    data.keys.forEach(function (key, n) {
      each(texts[key], function (e) { e.textContent = p.texts[n]; });
      if (!q) { return; }
      each(compared[key], function (e) { e.textContent = q.texts[n]; });
      each(differences[key], function (e) { e.textContent = data.figures.indexOf(n) < 0 ? '\u2013' : difference(p.texts[n], q.texts[n]); });
    });
    data.marks.forEach(function (key, n) {
      each(marks[key], function (e) { e.hidden = p.shown[n] === '0' && !(q && q.shown[n] === '1'); });
    });
    paint(p, strips, letters, axis);
    curve.setAttribute('points', line(p));
    all('[data-vs]').forEach(function (e) { e.hidden = !q; });
    other.hidden = !q;
    if (q) {
      paint(q, otherStrips, otherLetters, otherAxis);
      all('[data-vs-name]').forEach(function (e) { e.textContent = q === data.reference ? 'Reference' : 'Point ' + q.id; });
    }
    against.setAttribute('points', q ? line(q) : '');
    all('.front-chart').forEach(function (chart) {
      var dot = q && q !== data.reference && chart.querySelector('[data-point="' + comparing + '"] circle');
      chart.querySelector('[data-against-mark]').setAttribute('d',
        dot ? 'M' + dot.getAttribute('cx') + ' ' + dot.getAttribute('cy') + 'm-10-10h20v20h-20z' : '');
    });
    select.value = String(comparing);
    rows.forEach(function (e) { current(e, number(e, 'row') === i); });
    reach();
  }

  // One dot of a chart takes the focus, the arrow keys reach the others; what a filter hides is out of reach.
  function reach() {
    dots.forEach(function (e) {
      var at = number(e, 'point'), on = at === picked;
      current(e, on);
      e.setAttribute('tabindex', on ? '0' : '-1');
      if (kept[at] || on) { e.removeAttribute('aria-hidden'); } else { e.setAttribute('aria-hidden', 'true'); }
      e.classList.toggle('out', !kept[at]);
    });
    rows.forEach(function (e) { e.hidden = !kept[number(e, 'row')]; });
    all('[data-go]').forEach(function (e) { e.disabled = target(e.getAttribute('data-go')) === picked; });
  }

  function target(go) {
    if (go === 'start') { return data.start; }
    var forward = go === 'on' || go === 'first', at = { first: 0, last: data.points.length - 1, back: picked - 1, on: picked + 1 }[go];
    while (at >= 0 && at < data.points.length && !kept[at]) { at += forward ? 1 : -1; }
    return at >= 0 && at < data.points.length ? at : picked;
  }

  function filter() {
    var count = 0;
    data.points.forEach(function (p, i) {
      kept[i] = limits.every(function (e) {
        var limit = parseFloat(e.value), most = e.getAttribute('data-most');
        if (isNaN(limit)) { return true; }
        var v = value(wordsOf(p, most || e.getAttribute('data-least')));
        return most ? v <= limit : v >= limit;
      });
      count += kept[i] ? 1 : 0;
    });
    passing.textContent = count ? count + ' of ' + data.points.length + ' points' : 'No point passes; loosen a limit';
    if (count && !kept[picked]) { show(kept.indexOf(true)); } else { reach(); }
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
      all('.dot', chart).forEach(function (e) {
        if (!kept[number(e, 'point')]) { return; }
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

  data.points.forEach(function (p, i) {
    var option = document.createElement('option'), tags = wordsOf(p, 'tags');
    option.value = i;
    option.textContent = 'point ' + p.id + (tags ? ', ' + tags : '');
    select.appendChild(option);
  });
  function compare(what) {
    comparing = what === 'none' || what === 'reference' ? what : +what;
    show(picked);
  }
  select.addEventListener('change', function () { compare(select.value); });
  document.getElementById('hold').addEventListener('click', function () { compare(picked); });

  limits.forEach(function (e) { e.addEventListener('input', filter); });
  document.getElementById('all-points').addEventListener('click', function () {
    limits.forEach(function (e) { e.value = ''; });
    filter();
  });

  // Every heading of the table of points sorts by its column; a figure that is not known stands last either way.
  var heads = all('#table thead th');
  function sort(column) {
    var up = heads[column].getAttribute('aria-sort') !== 'ascending', way = up ? 1 : -1;
    heads.forEach(function (e) { e.removeAttribute('aria-sort'); });
    heads[column].setAttribute('aria-sort', up ? 'ascending' : 'descending');
    var text = function (row) { return row.cells[column].textContent; };
    var words = heads[column].classList.contains('words');
    rows.slice().sort(function (r, s) {
      var a = words ? text(r) : value(text(r)), b = words ? text(s) : value(text(s));
      if (a !== a || b !== b) { return (a !== a ? 1 : 0) - (b !== b ? 1 : 0); }
      return (a < b ? -way : a > b ? way : 0) || number(r, 'row') - number(s, 'row');
    }).forEach(function (row) { row.parentNode.appendChild(row); });
  }
  heads.forEach(function (head, column) {
    var button = document.createElement('button');
    button.type = 'button';
    while (head.firstChild) { button.appendChild(head.firstChild); }
    head.appendChild(button);
    button.addEventListener('click', function () { sort(column); });
  });
  heads[0].setAttribute('aria-sort', 'ascending');

  document.documentElement.classList.add('js');
  var asked = /^#p(\d+)$/.exec(location.hash), first = data.start;
  if (asked) {
    data.points.forEach(function (p, i) { if (p.id === +asked[1]) { first = i; } });
  }
  filter();
  show(first);
})();

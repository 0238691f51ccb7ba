// Some engines were still being added up: come again.
if (document.getElementById("again")) setTimeout(() => location.reload(), 1200);
